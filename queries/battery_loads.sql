-- answers: how long did each transport's ventilator run on battery, whichever battery it would have had?
-- grain: one row per transport of battery_time; minutes; share of the rated endurance, empty without a rating
-- parameters: $first, $last (months, null: open)
select b.transport_id, b.placed_at, b.device, t.team, b.lit, b.dim, b.share, coalesce(b.left_out, '') as left_out
from battery_drawn as b
join trips as t using (transport_id)
where ($first::date is null or b.month >= $first::date)
  and ($last::date is null or b.month <= $last::date)
order by b.placed_at, b.transport_id
