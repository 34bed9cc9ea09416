-- answers: how often did alarms of each condition or priority begin, however long transports were monitored, whatever alarmed?
-- grain: one row per group, with sums over the monitored time of every transport, in microseconds
-- parameters: $by (condition, priority); $first, $last (months, null: open)
with population as (
  select m.transport_id, m.first_at, m.last_at
  from monitored as m
  join trips as t using (transport_id)
  where m.transport_id in (select transport_id from monitored group by transport_id having sum(hours) > 0)
    and ($first::date is null or t.month >= $first::date) and ($last::date is null or t.month <= $last::date)
), watched as (
  select
    p.transport_id,
    sum(greatest(0, epoch_us(least(p.last_at, l.to_at)) - epoch_us(greatest(p.first_at, l.from_at))))::bigint as t
  from population as p
  join trip_legs as l using (transport_id)
  group by p.transport_id
), begun as (
  select
    transport_id, if($by = 'condition', condition, coalesce(priority, 'not recorded')) as grouped,
    count(*) as x, count_if(coalesce(priority = 'high', false)) as high, count_if(is_repeat) as repeats
  from alarm_details
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
