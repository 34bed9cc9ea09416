-- answers: which rows of the device logs reach no transport, or lie outside the widened window of the one they name?
-- grain: one row per log and device
-- parameters: none
with strays as (
  -- of quarters of an hour that lie within their window, no reading lies outside
  select q.trip, q.device_id, q.quarter
  from kept.reading_quarters as q
  join trips as t on t.transport_id = q.trip
  where has_text(q.transport_id) and (q.first_at < t.wide_from or q.last_at > t.wide_to)
), named as (
  select 'settings' as log, trip, device_id, recorded_at as moment, 1 as held from kept.settings where has_text(transport_id)
  union all
  select 'readings', m.trip, m.device_id, m.recorded_at, m.held
  from kept.reading_moments as m
  semi join strays as b on m.trip = b.trip and m.device_id is not distinct from b.device_id and quarter_of(m.recorded_at) = b.quarter
  where has_text(m.transport_id)
  union all
  select 'alarms', trip, device_id, started_at, 1 from kept.alarms where has_text(transport_id)
  union all
  select 'power', trip, device_id, recorded_at, 1 from kept.power where has_text(transport_id)
), strayed as (
  select n.log, coalesce(n.device_id, 'not recorded') as device, sum(n.held)::bigint as outside
  from named as n
  join trips as t on t.transport_id = n.trip
  where n.moment not between t.wide_from and t.wide_to
  group by all
), counted as (
  select
    l.log, coalesce(l.device_id, 'not recorded') as device, sum(l.log_count)::bigint as total,
    sum(if(l.trip is null, l.log_count, 0))::bigint as unlinked,
    sum(if(l.trip is not null and t.transport_id is null, l.log_count, 0))::bigint as unknown
  from log_rows as l
  left join trips as t on t.transport_id = l.trip
  group by all
)
select c.log, c.device, c.total, c.unlinked, c.unknown, coalesce(s.outside, 0) as outside
from counted as c
left join strayed as s using (log, device)
order by c.log, c.device
