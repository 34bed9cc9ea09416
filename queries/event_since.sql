-- answers: how many transports and hours have passed since the last event of a measure?
-- grain: one row; where there was no event, since the first transport of the population
-- parameters: $measure; $last (month, null: the last that has a transport)
with members as (
  select f.x, t.placed_at, row_number() over (order by t.placed_at, f.transport_id) as place
  from facts as f
  join trips as t using (transport_id)
  where f.measure = $measure::fact_measure and f.left_out is null and t.placed_at is not null
    and ($last::date is null or t.month <= $last::date)
), ended as (
  select until_utc from calendar where month = coalesce($last::date, (select max(month) from trips))
)
select
  count(*) - coalesce(max(place) filter (where x > 0), 0) as since_transports,
  coalesce(greatest(0,
    minutes_between(coalesce(max(placed_at) filter (where x > 0), min(placed_at)), (select until_utc from ended)) / 60), 0)
    as since_hours
from members
