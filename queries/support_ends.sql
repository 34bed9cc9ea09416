-- answers: with which class of support did completed transports begin and end, and in which leg did support change?
-- grain: one row per pair of first and last class (leg empty), then one per leg and pair of classes changed
-- parameters: $first, $last (months, null: open)
with counted as (
  select transport_id from trips
  where completed and ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
), pairs as (
  select 0 as leg, '' as place, first_class as from_class, last_class as to_class
  from supported
  where not unplaced and transport_id in (from counted)
  union all
  select coalesce(l.leg, 6), coalesce(l.place, 'not known'), c.from_class, c.to_class
  from conversions as c
  left join trip_legs as l on l.transport_id = c.transport_id and c.changed_at >= l.from_at and c.changed_at < l.to_at
  where c.transport_id in (from counted)
)
select place, from_class, to_class, count(*) as transports
from pairs
group by leg, place, from_class, to_class
order by leg, support_rank(from_class), support_rank(to_class)
