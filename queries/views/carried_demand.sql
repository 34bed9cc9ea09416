-- answers: how much of each gas was asked for while it came from cylinders?
-- grain: one row per stretch of gas_demand and gas; flow in L/min; carried_us is its length less the time on the wall
-- parameters: none
create or replace temp table carried_demand as
with shared as (
  select transport_id, from_at, to_at, held_us, 'oxygen' as gas, total_flow * oxygen_share as flow
  from gas_demand
  union all
  select transport_id, from_at, to_at, held_us, 'air', total_flow * (1 - oxygen_share)
  from gas_demand
  union all
  select
    d.transport_id, d.from_at, d.to_at, d.held_us, 'nitric_oxide',
    case
      when d.nitric_oxide_ppm = 0 then 0
      when d.nitric_oxide_ppm < n.ppm then d.nitric_oxide_ppm * d.patient_flow / (n.ppm - d.nitric_oxide_ppm)
    end
  from gas_demand as d
  join nitric_supply as n using (transport_id)
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
