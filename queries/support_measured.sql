-- answers: how far was a measured pressure or rate from the set one?
-- grain: one row, from what support_held.sql took; the median is of type 7 over all pairs of a reading and a setting
-- parameters: $quantity (pip, peep or rate); $first, $last (months, null: open)
with chosen as (
  select transport_id, apart, pairs, held_us
  from support_held
  where quantity = $quantity and ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
), tally as (
  select apart, sum(pairs)::bigint as pairs, sum(held_us) as held_us from chosen group by apart
), placed as (
  select apart, sum(pairs) over (order by apart) as up_to, sum(pairs) over () as n from tally
), middle as (
  select (min(apart) filter (where 2 * up_to >= n) + min(apart) filter (where 2 * up_to > n)) / 2 as middle from placed
)
select
  (select count(distinct transport_id) from chosen) as transports, coalesce(sum(held_us), 0) / 3.6e9 as hours,
  (select middle from middle) as middle,
  coalesce(sum(held_us) filter (where abs(apart) > setting_pressure_apart()), 0) / 3.6e9 as apart_hours
from tally
