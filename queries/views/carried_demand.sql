-- answers: how much of each gas was asked for while it came from cylinders?
-- grain: one row per stretch of settings_timeline and gas; carried_us is its length less the time on the wall
-- parameters: none
create or replace temp table carried_demand as
with shared as (
  select transport_id, from_at, to_at, held_us, 'oxygen' as gas, mean_flow * oxygen_share as mean_flow, last_flow * oxygen_share as last_flow
  from gas_demand
  union all
  select transport_id, from_at, to_at, held_us, 'air', mean_flow * (1 - oxygen_share), last_flow * (1 - oxygen_share)
  from gas_demand
), walled as (
  select
    s.transport_id, s.gas, s.from_at,
    sum(greatest(0, epoch_us(least(s.to_at, w.to_at)) - epoch_us(greatest(s.from_at, w.from_at))))::bigint as wall_us
  from shared as s
  join wall_time as w on w.transport_id = s.transport_id and w.gas = s.gas and not w.open_end
  group by s.transport_id, s.gas, s.from_at
)
select s.*, s.held_us - coalesce(w.wall_us, 0) as carried_us
from shared as s
left join walled as w using (transport_id, gas, from_at)
