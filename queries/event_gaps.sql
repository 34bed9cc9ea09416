-- answers: how many transports and hours lie between the events of a measure?
-- grain: one row per event, in order; two events of one transport have nothing between them
-- parameters: $measure; $last (month, null: open)
with members as (
  select
    f.transport_id, t.placed_at, t.month, f.x::bigint as events,
    row_number() over (order by t.placed_at, f.transport_id) as place
  from facts as f
  join trips as t using (transport_id)
  where f.measure = $measure::fact_measure and f.left_out is null and t.placed_at is not null
    and ($last::date is null or t.month <= $last::date)
), happened as (
  select *, unnest(range(events)) as nth from members where events > 0
)
select
  transport_id, placed_at, strftime(month, '%Y-%m') as month,
  greatest(place - lag(place) over (order by place, nth) - 1, 0) as between_transports,
  minutes_between(lag(placed_at) over (order by place, nth), placed_at) / 60 as between_hours
from happened
order by place, nth
