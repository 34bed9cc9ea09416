-- answers: how many rows of the device logs does each transport and device have, and from when to when?
-- grain: one row per table, trip, device and quarter of an hour in UTC, of readings and file too; months begin on a quarter in every zone in use
-- parameters: none
create or replace temp table log_rows as
select
  'settings' as log, trip, device_id, quarter_of(recorded_at) as quarter, count(*) as log_count, min(recorded_at) as first_at,
  max(recorded_at) as last_at
from kept.settings
group by all
union all
select 'readings', trip, device_id, quarter, readings, first_at, last_at
from kept.reading_quarters
union all
select 'alarms', trip, device_id, quarter_of(started_at), count(*), min(started_at), max(started_at)
from kept.alarms
group by all
union all
select 'power', trip, device_id, quarter_of(recorded_at), count(*), min(recorded_at), max(recorded_at)
from kept.power
group by all
