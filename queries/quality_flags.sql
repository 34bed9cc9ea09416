-- answers: which flags do the stored rows carry?
-- grain: one row per table and flag
-- parameters: none
with flagged as (
  select 'transports' as name, flags, 1 as held from kept.transports union all
  select 'assessments', flags, 1 from kept.assessments union all
  select 'settings', flags, 1 from kept.settings union all
  select 'readings', flags, held from kept.reading_moments union all
  select 'alarms', flags, 1 from kept.alarms union all
  select 'cylinders', flags, 1 from kept.cylinders union all
  select 'power', flags, 1 from kept.power union all
  select 'events', flags, 1 from kept.events union all
  select 'devices', flags, 1 from kept.devices union all
  select 'service', flags, 1 from kept.service union all
  select 'checks', flags, 1 from kept.checks union all
  select 'carried', flags, 1 from kept.carried union all
  select 'notes', flags, 1 from kept.notes
), counted as (
  select name, flags, sum(held) as flagged_rows from flagged where has_text(flags) group by name, flags
), parted as (
  select name, unnest(string_split(flags, ' ')) as flag, flagged_rows from counted
)
select name, flag, sum(flagged_rows)::bigint as flagged_rows
from parted
where flag <> ''
group by name, flag
order by name, flag
