-- answers: how often did alarms of each condition begin in each month, and for how long were transports monitored?
-- grain: one row per month and condition (empty: a month without an onset); the hours are those of the month, for every condition
-- parameters: $first, $last (months, null: open)
with watched as (
  select
    m.transport_id, t.month,
    sum(greatest(0, epoch_us(least(m.last_at, l.to_at)) - epoch_us(greatest(m.first_at, l.from_at)))) / 3.6e9 as hours
  from monitored as m
  join trips as t using (transport_id)
  join trip_legs as l using (transport_id)
  where t.month is not null and m.transport_id in (select transport_id from monitored group by transport_id having sum(hours) > 0)
    and ($first::date is null or t.month >= $first::date) and ($last::date is null or t.month <= $last::date)
  group by all
), monthly as (
  select month, sum(hours) as hours from watched group by month
), begun as (
  select
    w.month, a.condition, count(*) as onsets, count_if(coalesce(a.priority = 'high', false)) as high,
    count_if(a.is_repeat) as repeats
  from alarm_details as a
  join watched as w using (transport_id)
  group by all
)
select
  strftime(m.month, '%Y-%m') as month, coalesce(b.condition, '') as condition, coalesce(b.onsets, 0) as onsets,
  coalesce(b.high, 0) as high, coalesce(b.repeats, 0) as repeats, m.hours
from monthly as m
left join begun as b using (month)
order by m.month, b.condition
