-- answers: how long was a completed transport monitored by each device?
-- grain: one row per transport and device as recorded; an empty device is a device of its own
-- parameters: none
create or replace temp table monitored as
with near as (
  select r.log, r.trip, r.device_id, r.quarter, r.first_at, r.last_at, r.first_at < t.wide_from or r.last_at > t.wide_to as cut, t.wide_from, t.wide_to
  from log_rows as r
  join trips as t on t.transport_id = r.trip
  where t.completed and r.log in ('settings', 'readings') and r.first_at <= t.wide_to and r.last_at >= t.wide_from
), seen as (
  select trip, device_id, first_at, last_at from near where not cut
  union all
  -- quarters that reach beyond the window, which rows that name their transport can, are looked into
  select n.trip, n.device_id, m.recorded_at, m.recorded_at
  from near as n
  join (
    select 'settings' as log, trip, device_id, recorded_at from kept.settings
    union all
    select 'readings', trip, device_id, recorded_at from kept.reading_moments
  ) as m on m.log = n.log and m.trip = n.trip and m.device_id is not distinct from n.device_id and quarter_of(m.recorded_at) = n.quarter
  where n.cut and m.recorded_at between n.wide_from and n.wide_to
  union all
  select trip, device_id, a.started_at, if(ended_at > started_at and ended_at <= t.wide_to, ended_at, started_at)
  from kept.alarms as a
  join trips as t on t.transport_id = a.trip
  where t.completed and a.started_at between t.wide_from and t.wide_to
)
select
  trip as transport_id, device_id, min(first_at) as first_at, max(last_at) as last_at,
  (epoch_us(max(last_at)) - epoch_us(min(first_at))) / 3.6e9 as hours
from seen
group by trip, device_id
