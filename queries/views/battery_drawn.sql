-- answers: how long did each transport's ventilator run on battery, and which share of its endurance did that take?
-- grain: one row per completed transport with a power record of its ventilator; minutes, share of 1 (empty: no rating)
-- parameters: none
create or replace temp table battery_drawn as
with drawn as (
  select
    transport_id, sum(held_us)::bigint / 6e7 as minutes,
    sum(if(dimmed, 0, held_us))::bigint / 6e7 as lit, sum(if(dimmed, held_us, 0))::bigint / 6e7 as dim
  from battery_pieces
  group by transport_id
)
select
  t.transport_id, t.month, t.placed_at, t.device,
  coalesce(d.minutes, 0) as minutes, coalesce(d.lit, 0) as lit, coalesce(d.dim, 0) as dim,
  if(v.battery_endurance is null, null, coalesce(d.lit, 0) / v.battery_endurance + coalesce(d.dim, 0) / v.dimmed_endurance) as share,
  if(t.under_way_from is null, 'under way missing', null) as left_out
from trips as t
left join drawn as d using (transport_id)
left join device_service as v on v.device_id = t.ventilator_id
where t.completed and t.transport_id in (select transport_id from ventilator_power)
