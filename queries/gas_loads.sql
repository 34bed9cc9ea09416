-- answers: how much gas did each transport take from its carried cylinders, and would what was left have been enough?
-- grain: one row per completed transport with a carried cylinder of the gas; L, L/min (empty: nothing was asked for), min
-- parameters: $gas; $first, $last (months, null: open)
with taken as (
  select transport_id, round(sum_in_order(start_litres - end_litres, (file_id, record_no)), 9) as used
  from cylinder_contents
  where gas = $gas and supplied = 'carried'
  group by transport_id
)
select
  g.transport_id, g.placed_at, t.device, t.team, coalesce(u.used, 0) as used, coalesce(g.last_flow, 0) as last_flow,
  coalesce(g.minutes_left < setting_oxygen_reserve(), false) as short, coalesce(g.left_out, '') as left_out
from gas_left as g
join trips as t using (transport_id)
left join taken as u using (transport_id)
where g.gas = $gas
  and ($first::date is null or g.month >= $first::date)
  and ($last::date is null or g.month <= $last::date)
order by g.placed_at, g.transport_id
