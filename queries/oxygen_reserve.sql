-- answers: would the oxygen left in the carried cylinders have lasted less than the reserve at the last demand?
-- grain: one fact per completed transport with a carried oxygen cylinder
-- parameters: none
with last_demand as (
  select transport_id, last_flow
  from carried_demand
  where gas = 'oxygen' and carried_us > 0 and coalesce(last_flow, 1) > 0
  qualify row_number() over (partition by transport_id order by from_at desc) = 1
), members as (
  select
    t.transport_id, u.carried_left, d.last_flow, d.transport_id is not null as demanded,
    case
      when u.left_out is not null then u.left_out
      when g.transport_id is null then 'under way missing'
      when g.left_out is not null then g.left_out
      when d.transport_id is not null and d.last_flow is null then 'last oxygen demand unknown'
    end as left_out
  from trips as t
  join gas_used as u on u.transport_id = t.transport_id and u.gas = 'oxygen' and u.carried > 0
  left join gas_time as g on g.transport_id = t.transport_id and g.gas = 'oxygen'
  left join last_demand as d on d.transport_id = t.transport_id
  where t.completed
)
select
  'oxygen_reserve_short' as measure, transport_id, null as device, null as month,
  if(left_out is null, coalesce(round(carried_left / last_flow, 9) < setting_oxygen_reserve(), false)::int, null) as x,
  if(left_out is null, 1, null) as t, left_out
from members
