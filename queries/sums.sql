-- answers: what do the facts of measures add up to, and how many members could not be judged, and why?
-- grain: one row per measure, month, group and reason; the reason is null where facts were judged
-- parameters: $measures (comma-separated ids); $by_month; $by (a grouping or empty); $first, $last (months, null: open)
with placed as (
  select
    f.measure, f.left_out, f.transport_id, f.device, f.x, f.t, s.listed,
    case s.members when 'transports' then f.transport_id when 'devices' then f.device end as member,
    case when $by_month then coalesce(f.month, g.month) end as month,
    fact_group($by, f.device, g.grouped) as grouped
  from facts as f
  join (
    from fact_shapes where measure in (select try_cast(unnest(string_split($measures, ',')) as fact_measure))
  ) as s using (measure)
  left join trip_groups as g on g.transport_id = f.transport_id and g.by_what = $by
  where (not $by_month or coalesce(f.month, g.month) is not null)
    and ($first::date is null or coalesce(f.month, g.month) >= $first::date)
    and ($last::date is null or coalesce(f.month, g.month) <= $last::date)
), added as (
  select
    measure, month, grouped, left_out, count(*) as facts, count(transport_id) as transports,
    count(distinct member) filter (where member is not null) as members, coalesce(sum(x), 0) as x, coalesce(sum(t), 0) as t,
    sum(coalesce(t, 1)) as stands_for,
    list(x) filter (where listed = 'values' and left_out is null) as alone,
    list_sort(list({'transport_id': transport_id, 'device': device, 'x': x, 't': t}) filter (where listed = 'in order' and left_out is null)) as parts
  from placed
  group by measure, month, grouped, left_out
)
select
  measure, strftime(month, '%Y-%m') as month, grouped, left_out, facts, transports, members, x, t,
  stands_for::bigint as stands_for, coalesce(alone, list_transform(parts, lambda p: p.x)) as xs, list_transform(parts, lambda p: p.t) as ts
from added
