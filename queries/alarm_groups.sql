-- answers: how often did alarms begin per monitored hour, by place, device or vehicle?
-- grain: one row per group, with monitored hours of its own
-- parameters: $by (leg, device, vehicle); $first, $last (months, null: open)
with population as (
  select m.transport_id, t.vehicle, m.device_id, m.first_at, m.last_at
  from monitored as m
  join trips as t using (transport_id)
  where m.transport_id in (select transport_id from monitored group by transport_id having sum(hours) > 0)
    and ($first::date is null or t.month >= $first::date) and ($last::date is null or t.month <= $last::date)
), watched as (
  select
    p.transport_id,
    case $by when 'leg' then l.leg || ' ' || l.place when 'device' then coalesce(p.device_id, 'not recorded')
      else p.vehicle end as grouped,
    sum(greatest(0, epoch_us(least(p.last_at, l.to_at)) - epoch_us(greatest(p.first_at, l.from_at)))) / 3.6e9 as hours
  from population as p
  join trip_legs as l using (transport_id)
  group by all
), begun as (
  select
    transport_id,
    case $by when 'leg' then leg || ' ' || place when 'device' then coalesce(device_id, 'not recorded')
      else vehicle end as grouped,
    count(*) as onsets, count_if(coalesce(priority = 'high', false)) as high, count_if(is_repeat) as repeats
  from alarm_details
  where transport_id in (select transport_id from population)
  group by all
), added as (
  select
    m.grouped, coalesce(sum(b.onsets), 0)::bigint as onsets, coalesce(sum(b.high), 0)::bigint as high,
    coalesce(sum(b.repeats), 0)::bigint as repeats, count(b.onsets) as transports,
    list_sort(list({'transport_id': m.transport_id, 'onsets': coalesce(b.onsets, 0)::double, 'hours': m.hours})) as parts
  from watched as m
  left join begun as b on b.transport_id = m.transport_id and b.grouped = m.grouped
  group by m.grouped
)
select
  grouped, onsets, high, repeats, transports, list_transform(parts, lambda p: p.onsets) as xs,
  list_transform(parts, lambda p: p.hours) as ts
from added
order by if($by = 'leg', grouped, ''), onsets desc, grouped
