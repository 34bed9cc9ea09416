-- answers: how much support of each class was given, how often was a short stretch passed over, how often did the mode change?
-- grain: one row per class, in the order of the classes
-- parameters: $first, $last (months, null: open)
with counted as (
  select transport_id from trips
  where completed and ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
), given as (
  select class, count(*) as episodes, count(distinct transport_id) as transports, sum(minutes) / 60 as hours,
    quantile_cont(minutes, 0.5) as middle_minutes
  from episodes
  where transport_id in (from counted)
  group by class
), passed as (
  select class, count_if(not stays) as passed_over
  from support_stretches
  where transport_id in (from counted)
  group by class
), turned as (
  select class, count_if(class = class_before and mode is distinct from mode_before) as mode_changes
  from support_settings
  where transport_id in (from counted)
  group by class
)
select
  class, coalesce(g.episodes, 0) as episodes, coalesce(g.transports, 0) as transports, coalesce(g.hours, 0) as hours,
  g.middle_minutes, coalesce(p.passed_over, 0) as passed_over, coalesce(m.mode_changes, 0) as mode_changes
from turned as m
left join given as g using (class)
left join passed as p using (class)
order by support_rank(class)
