-- answers: how much oxygen did a transport use per hour on carried gas?
-- grain: one fact per completed transport with a carried or vehicle oxygen cylinder; L/h
-- parameters: none
with members as (
  select
    t.transport_id, u.used, g.minutes,
    case
      when u.left_out is not null then u.left_out
      when g.transport_id is null then 'under way missing'
      when g.left_out is not null then g.left_out
      when round(g.minutes, 9) <= 0 then 'no time on carried gas'
    end as left_out
  from trips as t
  join gas_used as u on u.transport_id = t.transport_id and u.gas = 'oxygen'
  left join gas_time as g on g.transport_id = t.transport_id and g.gas = 'oxygen'
  where t.completed
)
select
  'oxygen_per_hour' as measure, transport_id, null as device, null as month,
  if(left_out is null, used / minutes * 60, null) as x, null as t, left_out
from members
