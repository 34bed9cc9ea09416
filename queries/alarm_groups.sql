-- answers: how often did alarms begin per monitored hour, by place, device or vehicle?
-- grain: one row per group, with sums over the monitored time of its transports, in microseconds
-- parameters: $by (leg, device, vehicle); $first, $last (months, null: open)
with watched as (
  select
    transport_id, case $by when 'leg' then leg::varchar when 'device' then coalesce(device_id, 'not recorded') else vehicle end as grouped,
    sum(micros)::bigint as t
  from monitored_legs
  where ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
  group by all
), begun as (
  select
    transport_id,
    case $by when 'leg' then leg::varchar when 'device' then coalesce(device_id, 'not recorded') else vehicle end as grouped,
    count(*) as x, count_if(coalesce(priority = 'high', false)) as high, count_if(is_repeat) as repeats
  from alarm_details
  where ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
  group by all
), added as (
  select
    w.grouped, sum(b.x) as onsets, sum(b.high) as high, sum(b.repeats) as repeats, count(b.x) as transports,
    count_if(w.t > 0) as clusters, count_if(w.t > 0 and b.x > 0) as hit, sum(b.x) filter (where w.t > 0) as x, sum(w.t) as t,
    sum(b.x * b.x) filter (where w.t > 0) as xx, sum(b.x::hugeint * w.t) as xt, sum(w.t::hugeint * w.t) as tt
  from watched as w
  left join begun as b on b.transport_id = w.transport_id and b.grouped = w.grouped
  group by w.grouped
)
select
  coalesce(l.place, a.grouped) as name, coalesce(columns(a.* exclude (grouped)), 0)
from added as a
left join (select distinct leg::varchar as grouped, place from trip_legs where $by = 'leg') as l using (grouped)
order by if($by = 'leg', grouped, ''), coalesce(onsets, 0) desc, grouped
