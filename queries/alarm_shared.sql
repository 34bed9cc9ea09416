-- answers: how often did alarms of each condition or priority begin, however long transports were monitored, whatever alarmed?
-- grain: one row per group, with sums over the monitored time of every transport, in microseconds
-- parameters: $by (condition, priority); $first, $last (months, null: open)
with watched as (
  select transport_id, sum(micros)::bigint as t
  from monitored_legs
  where ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
  group by transport_id
), begun as (
  select
    transport_id, if($by = 'condition', condition, coalesce(priority, 'not recorded')) as grouped,
    count(*) as x, count_if(coalesce(priority = 'high', false)) as high, count_if(is_repeat) as repeats
  from alarm_details
  where ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
  group by all
), added as (
  select
    b.grouped, sum(b.x) as onsets, sum(b.high) as high, sum(b.repeats) as repeats, count(*) as transports,
    count_if(w.t > 0) as hit, sum(b.x) filter (where w.t > 0) as x, sum(b.x * b.x) filter (where w.t > 0) as xx,
    sum(b.x::hugeint * w.t) as xt
  from begun as b
  join watched as w using (transport_id)
  group by b.grouped
), shared as (
  select count_if(t > 0) as clusters, sum(t) as t, sum(t::hugeint * t) as tt from watched
)
select
  a.grouped as name, a.onsets, a.high, a.repeats, a.transports, s.clusters, a.hit, coalesce(a.x, 0) as x, s.t,
  coalesce(a.xx, 0) as xx, a.xt, s.tt
from added as a
cross join shared as s
order by a.onsets desc, a.grouped
