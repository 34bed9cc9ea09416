-- answers: how often did alarms of each condition or priority begin, and how long were transports monitored, whatever alarmed?
-- grain: one row per group, before them one without a name: xs are onsets at their places, ts the hours of every transport in order
-- parameters: $by (condition, priority); $first, $last (months, null: open)
with population as (
  select m.transport_id, m.first_at, m.last_at
  from monitored as m
  join trips as t using (transport_id)
  where m.transport_id in (select transport_id from monitored group by transport_id having sum(hours) > 0)
    and ($first::date is null or t.month >= $first::date) and ($last::date is null or t.month <= $last::date)
), watched as (
  select
    p.transport_id, row_number() over (order by p.transport_id) - 1 as place,
    sum(greatest(0, epoch_us(least(p.last_at, l.to_at)) - epoch_us(greatest(p.first_at, l.from_at)))) / 3.6e9 as hours
  from population as p
  join trip_legs as l using (transport_id)
  group by p.transport_id
), begun as (
  select
    transport_id, if($by = 'condition', condition, coalesce(priority, 'not recorded')) as grouped,
    count(*) as onsets, count_if(coalesce(priority = 'high', false)) as high, count_if(is_repeat) as repeats
  from alarm_details
  group by all
), added as (
  select
    b.grouped, sum(b.onsets)::bigint as onsets, sum(b.high)::bigint as high, sum(b.repeats)::bigint as repeats,
    count(*) as transports, list({'place': w.place, 'onsets': b.onsets::double}) as parts, null::double[] as ts
  from begun as b
  join watched as w using (transport_id)
  group by b.grouped
  union all
  select null, 0, 0, 0, count(*), null, list_transform(list_sort(list({'place': place, 'hours': hours})), lambda w: w.hours)
  from watched
)
select
  grouped, onsets, high, repeats, transports, list_transform(parts, lambda p: p.place) as places,
  list_transform(parts, lambda p: p.onsets) as xs, ts
from added
order by grouped is not null, onsets desc, grouped
