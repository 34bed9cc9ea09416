-- answers: how long would the gas left in the carried cylinders have lasted at the last demand?
-- grain: one row per completed transport and gas with a carried cylinder; L, L/min, min (empty: nothing was asked for)
-- parameters: none
create or replace temp table gas_left as
with joined as (
  select
    t.transport_id, t.month, t.placed_at, u.gas, u.carried_left, a.last_flow,
    case
      when u.left_out is not null then u.left_out
      when g.transport_id is null then 'under way missing'
      when g.left_out is not null then g.left_out
      when a.demanded and a.last_flow is null then 'last ' || replace(u.gas, '_', ' ') || ' demand unknown'
    end as left_out
  from gas_used as u
  join trips as t using (transport_id)
  left join gas_time as g on g.transport_id = u.transport_id and g.gas = u.gas
  left join gas_asked as a on a.transport_id = u.transport_id and a.gas = u.gas
  where t.completed and u.carried > 0
)
select *, if(left_out is null, round(carried_left / last_flow, 9), null) as minutes_left
from joined
