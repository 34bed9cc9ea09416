-- answers: what do the facts of one measure add up to?
-- grain: one row per month and group that has facts
-- parameters: $measure; $by_month; $by (a grouping or empty); $first, $last (months, null: open); $sorted (list by value, else by transport)
with placed as (
  select
    coalesce(f.transport_id, '') as transport_id, f.device, f.x, f.t,
    case when $by_month then coalesce(f.month, g.month) end as month,
    fact_group($by, f.device, g.grouped) as grouped
  from facts as f
  left join trip_groups as g on g.transport_id = f.transport_id and g.by_what = $by
  where f.measure = $measure
    and f.left_out is null
    and (not $by_month or coalesce(f.month, g.month) is not null)
    and ($first::date is null or coalesce(f.month, g.month) >= $first::date)
    and ($last::date is null or coalesce(f.month, g.month) <= $last::date)
), members as (
  select month, grouped, transport_id, count(*) as facts, sum(x) as x, sum(t) as t
  from placed
  group by all
), devices as (
  select month, grouped, count(distinct device) as devices
  from placed
  group by all
)
select
  strftime(m.month, '%Y-%m') as month, m.grouped, sum(m.facts)::bigint as facts,
  count(*) filter (where m.transport_id <> '') as transports, any_value(d.devices) as devices,
  sum(m.x order by m.transport_id) as x, coalesce(sum(m.t order by m.transport_id), 0) as t,
  list(m.x order by if($sorted, m.x, null), m.transport_id) as xs,
  list(m.t order by m.transport_id) as ts
from members as m
join devices as d on d.month is not distinct from m.month and d.grouped = m.grouped
group by m.month, m.grouped
order by m.month, m.grouped
