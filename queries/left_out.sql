-- answers: how many members of a measure's population could not be judged, and why?
-- grain: one row per month, group and reason
-- parameters: $measure; $by_month; $by (a grouping or empty); $first, $last (months, null: open)
select
  strftime(case when $by_month then coalesce(f.month, g.month) end, '%Y-%m') as month,
  fact_group($by, f.device, g.grouped) as grouped,
  f.left_out,
  sum(coalesce(f.t, 1))::bigint as members
from facts as f
left join trip_groups as g on g.transport_id = f.transport_id and g.by_what = $by
where f.measure = $measure
  and f.left_out is not null
  and (not $by_month or coalesce(f.month, g.month) is not null)
  and ($first::date is null or coalesce(f.month, g.month) >= $first::date)
  and ($last::date is null or coalesce(f.month, g.month) <= $last::date)
group by all
order by all
