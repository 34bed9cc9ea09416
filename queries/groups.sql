-- answers: which groups have a transport in the months looked at?
-- grain: one row per group
-- parameters: $by (a grouping); $first, $last (months, null: open)
select distinct grouped
from trip_groups
where by_what = $by
  and ($first::date is null or month >= $first::date)
  and ($last::date is null or month <= $last::date)
order by grouped
