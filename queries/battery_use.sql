-- answers: how long did the ventilator run on battery, and was the battery overdrawn?
-- grain: one fact per measure and completed transport with a power record of its ventilator; minutes
-- parameters: none
with drawn as (
  select
    transport_id, sum(held_us)::bigint / 6e7 as minutes,
    sum(if(dimmed, 0, held_us))::bigint / 6e7 as lit, sum(if(dimmed, held_us, 0))::bigint / 6e7 as dim
  from battery_pieces
  group by transport_id
), members as (
  select
    t.transport_id, coalesce(d.minutes, 0) as minutes, v.battery_endurance is null as unrated,
    coalesce(d.lit, 0) / v.battery_endurance + coalesce(d.dim, 0) / v.dimmed_endurance as share,
    if(t.under_way_from is null, 'under way missing', null) as missing
  from trips as t
  left join drawn as d using (transport_id)
  left join device_service as v on v.device_id = t.ventilator_id
  where t.completed and t.transport_id in (select transport_id from ventilator_power)
), judged as (
  select transport_id, unnest([
    {'measure': 'battery_time', 'x': round(minutes, 9), 't': null, 'left_out': missing},
    {'measure': 'battery_overdrawn', 'x': (round(share, 9) > setting_battery_share())::int::double, 't': 1,
      'left_out': coalesce(missing, if(unrated, 'no battery rating', null))}
  ]) as fact
  from members
)
select
  fact.measure as measure, transport_id, null as device, null as month,
  if(fact.left_out is null, fact.x, null) as x, if(fact.left_out is null, fact.t, null) as t, fact.left_out as left_out
from judged
