-- answers: where did each alarm begin, how was it answered, and which limit did it cross?
-- grain: one row per onset; limits of volumes per kg of weight; seconds empty where nothing says how long
-- parameters: none
create or replace temp table alarm_details as
with told as (
  select
    o.transport_id, o.device_id, o.started_at, o.ended_at, o.condition, o.priority, o.is_repeat, o.nearby, o.file_id,
    o.record_no, t.month, t.vehicle, l.leg, l.place,
    if(
      o.silenced_at >= o.started_at and (o.recorded_end is null or o.silenced_at <= o.ended_at),
      (epoch_us(o.silenced_at) - epoch_us(o.started_at)) / 1e6, null
    ) as silenced_after,
    if(o.recorded_end >= o.started_at, (epoch_us(o.recorded_end) - epoch_us(o.started_at)) / 1e6, null) as lasted,
    round(o.alarm_limit / per_weight(o.condition, t.weight), 9) as alarm_limit,
    round(o.observed / per_weight(o.condition, t.weight), 9) as observed
  from onsets as o
  join trips as t on t.transport_id = o.transport_id
  left join trip_legs as l
    on l.transport_id = o.transport_id and o.started_at >= l.from_at and o.started_at < l.to_at
)
select
  *, coalesce(silenced_after, lasted) as unanswered,
  case when condition like '%\_low' escape '\' then alarm_limit - observed else observed - alarm_limit end as beyond
from told
