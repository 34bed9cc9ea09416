-- answers: how far were measured pressures and rates from the set ones?
-- grain: one row, from the differences that support_apart.sql took; the median is of type 7 over all pairs of a reading and a setting
-- parameters: none
with tally as (
  select apart, sum(pairs)::bigint as pairs, sum(held_us) as held_us from support_apart group by apart
), placed as (
  select apart, sum(pairs) over (order by apart) as up_to, sum(pairs) over () as n from tally
), middle as (
  select (min(apart) filter (where 2 * up_to >= n) + min(apart) filter (where 2 * up_to > n)) / 2 as middle from placed
)
select
  (select count(distinct transport_id) from support_apart) as transports, coalesce(sum(held_us), 0) / 3.6e9 as hours,
  (select middle from middle) as middle,
  coalesce(sum(held_us) filter (where abs(apart) > setting_pressure_apart()), 0) / 3.6e9 as apart_hours
from tally
