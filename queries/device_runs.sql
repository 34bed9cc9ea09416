-- answers: from when to when did each device write its logs, by its own clock?
-- grain: a temporary table; one row per log, device and run; rows that name one transport are one run, others are parted by 45 minutes of silence
-- parameters: $since (moment in UTC: rows count from its quarter of an hour on; null: all)
create or replace temp table device_runs as
with log_moments as (
  select 'readings' as log, device_id, transport_id, quarter, first_at, last_at from kept.reading_quarters
  union all
  select 'settings', device_id, transport_id, quarter_of(recorded_at), recorded_at, recorded_at from kept.settings
  union all
  select 'power', device_id, transport_id, quarter_of(recorded_at), recorded_at, recorded_at from kept.power
), stretches as (
  select log, device_id, transport_id, min(first_at) as first_moment, max(last_at) as last_moment
  from log_moments
  where device_id is not null and ($since::timestamp is null or quarter >= quarter_of($since::timestamp))
  group by log, device_id, transport_id, quarter
), marked as (
  select
    *,
    transport_id is null and first_moment - lag(last_moment) over by_time > interval 45 minutes as opens
  from stretches
  window by_time as (partition by log, device_id, transport_id order by first_moment)
), numbered as (
  select
    *, count(*) filter (where opens) over (partition by log, device_id, transport_id order by first_moment) as run
  from marked
)
select log, device_id, transport_id, min(first_moment) as run_from, max(last_moment) as run_to
from numbered
group by log, device_id, transport_id, run
