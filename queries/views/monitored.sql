-- answers: how long was a completed transport monitored by each device?
-- grain: one row per transport and device as recorded; an empty device is a device of its own
-- parameters: none
create or replace temp table monitored as
with seen as (
  select trip, device_id, min(recorded_at) as first_at, max(recorded_at) as last_at
  from kept.settings as s join trips as t on t.transport_id = s.trip
  where t.completed and s.recorded_at between t.wide_from and t.wide_to
  group by trip, device_id
  union all
  select trip, device_id, min(recorded_at), max(recorded_at)
  from kept.reading_moments as r join trips as t on t.transport_id = r.trip
  where t.completed and r.recorded_at between t.wide_from and t.wide_to
  group by trip, device_id
  union all
  select trip, device_id, min(started_at), max(if(ended_at > started_at and ended_at <= t.wide_to, ended_at, started_at))
  from kept.alarms as a join trips as t on t.transport_id = a.trip
  where t.completed and a.started_at between t.wide_from and t.wide_to
  group by trip, device_id
)
select
  trip as transport_id, device_id, min(first_at) as first_at, max(last_at) as last_at,
  (epoch_us(max(last_at)) - epoch_us(min(first_at))) / 3.6e9 as hours
from seen
group by trip, device_id
