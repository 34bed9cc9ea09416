-- answers: how many rows of the device logs does each transport and device have, and when?
-- grain: one row per table, trip, device and quarter of an hour in UTC; months begin on a quarter in every zone in use
-- parameters: none
create or replace temp table log_rows as
select 'settings' as log, trip, device_id, time_bucket(interval 15 minutes, recorded_at) as quarter, count(*) as log_count
from kept.settings
group by all
union all
select 'readings', trip, device_id, time_bucket(interval 15 minutes, recorded_at), sum(held)::bigint
from kept.reading_moments
group by all
union all
select 'alarms', trip, device_id, time_bucket(interval 15 minutes, started_at), count(*)
from kept.alarms
group by all
union all
select 'power', trip, device_id, time_bucket(interval 15 minutes, recorded_at), count(*)
from kept.power
group by all
