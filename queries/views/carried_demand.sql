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
), walls as (
  select transport_id, gas, list({'from_at': from_at, 'to_at': to_at}) as times
  from wall_time
  where not open_end
  group by transport_id, gas
)
select
  s.*,
  s.held_us - coalesce(
    list_sum(list_transform(w.times, lambda t: greatest(0, epoch_us(least(s.to_at, t.to_at)) - epoch_us(greatest(s.from_at, t.from_at))))), 0
  )::bigint as carried_us
from shared as s
left join walls as w using (transport_id, gas)
