-- answers: for how long was a quantity below, in and above a range while support was given?
-- grain: one row, from what support_held.sql took; time in hours
-- parameters: $quantity; $first, $last (months, null: open)
with shares as (
  select
    sum(held_us) as held_us, coalesce(sum(held_us) filter (where apart < 0), 0) as below_us,
    coalesce(sum(held_us) filter (where apart > 0), 0) as above_us
  from support_held
  where quantity = $quantity and ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
  group by transport_id
)
select
  count(*) as transports, coalesce(sum(held_us), 0) / 3.6e9 as hours, coalesce(sum(below_us), 0) / 3.6e9 as below,
  coalesce(sum(above_us), 0) / 3.6e9 as above, quantile_cont(100.0 * below_us / held_us, 0.5) as middle_below,
  quantile_cont(100.0 * above_us / held_us, 0.5) as middle_above
from shares
