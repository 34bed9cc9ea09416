-- answers: which flags do the stored rows carry?
-- grain: one row per table and flag
-- parameters: none
with flagged as (
  select 'transports' as name, flags from kept.transports union all
  select 'assessments', flags from kept.assessments union all
  select 'settings', flags from kept.settings union all
  select 'readings', flags from kept.readings union all
  select 'alarms', flags from kept.alarms union all
  select 'cylinders', flags from kept.cylinders union all
  select 'power', flags from kept.power union all
  select 'events', flags from kept.events union all
  select 'devices', flags from kept.devices union all
  select 'service', flags from kept.service union all
  select 'checks', flags from kept.checks union all
  select 'carried', flags from kept.carried union all
  select 'notes', flags from kept.notes
), counted as (
  select name, flags, count(*) as flagged_rows from flagged where flags is not null group by name, flags
), parted as (
  select name, unnest(string_split(flags, ' ')) as flag, flagged_rows from counted
)
select name, flag, sum(flagged_rows)::bigint as flagged_rows
from parted
where flag <> ''
group by name, flag
order by name, flag
