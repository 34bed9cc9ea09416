-- answers: which alarms began in the monitored time of a completed transport, and which were repeats or came in a crowd?
-- grain: one row per alarm row; nearby counts the onsets of all devices in the window up to and at this one
-- parameters: none
create or replace temp table onsets as
with population as (
  select transport_id from monitored group by transport_id having sum(hours) > 0
), begun as (
  select
    t.transport_id, a.device_id, a.started_at, greatest(a.started_at, coalesce(a.ended_at, a.started_at)) as ended_at,
    a.condition, a.priority, a.ended_at as recorded_end, a.silenced_at, a.alarm_limit, a.observed, a.file_id, a.record_no
  from kept.alarms as a
  join trips as t on t.transport_id = a.trip
  where a.started_at between t.wide_from and t.wide_to
    and t.transport_id in (select transport_id from population)
), compared as (
  select
    *,
    max(ended_at) over (
      partition by transport_id, device_id, condition order by started_at, file_id, record_no
      rows between unbounded preceding and 1 preceding
    ) as like_ended_at,
    count(*) over (
      partition by transport_id order by started_at
      range between to_microseconds((setting_flood_window() * 6e7)::bigint) preceding and current row
    ) as nearby
  from begun
)
select
  * exclude (like_ended_at),
  coalesce(minutes_between(like_ended_at, started_at) < setting_repeat_within(), false) as is_repeat
from compared
