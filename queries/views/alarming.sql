-- answers: how long did an alarm sound on each device of a transport?
-- grain: one row per transport and device with an onset; overlapping alarms count once, inside monitored time
-- parameters: none
create or replace temp table alarming as
with clipped as (
  select
    o.transport_id, o.device_id, o.started_at, least(o.ended_at, m.last_at) as ended_at,
    max(least(o.ended_at, m.last_at)) over (
      partition by o.transport_id, o.device_id order by o.started_at, o.file_id, o.record_no
      rows between unbounded preceding and 1 preceding
    ) as covered_to
  from onsets as o
  join monitored as m on m.transport_id = o.transport_id and m.device_id is not distinct from o.device_id
)
select
  transport_id, device_id,
  sum(greatest(0, epoch_us(ended_at) - epoch_us(greatest(started_at, coalesce(covered_to, started_at))))) / 3.6e9 as hours
from clipped
group by transport_id, device_id
