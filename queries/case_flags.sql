-- answers: which flags do the rows of a transport bear: its own, and those of its devices, cylinders, events and the rest?
-- grain: one row per transport, table and flag
-- parameters: $transports (ids with a unit separator between)
with asked as (
  select transport_id, flags from trips where list_contains(string_split($transports, chr(31)), transport_id)
), flagged as (
  select transport_id, 'transports' as name, flags from asked union all
  select transport_id, 'assessments', flags from kept.assessments union all
  select trip, 'settings', flags from kept.settings union all
  select trip, 'readings', flags from kept.readings union all
  select trip, 'alarms', flags from kept.alarms union all
  select trip, 'power', flags from kept.power union all
  select transport_id, 'cylinders', flags from kept.cylinders union all
  select transport_id, 'events', flags from kept.events where not superseded union all
  select transport_id, 'carried', flags from kept.carried
), parted as (
  select f.transport_id, f.name, unnest(string_split(f.flags, ' ')) as flag
  from flagged as f
  join asked as a using (transport_id)
  where f.flags is not null
)
select transport_id, name, flag, count(*) as flagged_rows
from parted
where flag <> ''
group by transport_id, name, flag
order by transport_id, name = 'transports' desc, name, flag
