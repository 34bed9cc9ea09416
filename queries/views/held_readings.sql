-- answers: from when on, and how long, did each reading of a quantity hold, and which value held until then?
-- grain: a table macro; one row per reading in the widened window of a completed transport; volumes per kg, none without
-- parameters: the quantity; first and last month, and transport ids (null: open); tied rows stand at the moment of the row before and are told, not mended (see latest_readings)
create or replace temp macro held_readings(asked, since, until, from_id, to_id) as table
with taken as (
  select
    r.trip as transport_id, t.month, r.device_id, epoch_us(r.recorded_at) as at_us, r.file_id, r.record_no,
    round(r.value / per_weight(asked, t.weight), 9) as value
  from kept.readings as r
  join trips as t on t.transport_id = r.trip
  where r.quantity = asked and t.completed and r.recorded_at between t.wide_from and t.wide_to
    and (since is null or t.month >= since) and (until is null or t.month <= until)
    and (from_id is null or r.trip >= from_id) and (to_id is null or r.trip <= to_id)
    and per_weight(asked, t.weight) > 0
)
select
  transport_id, month, device_id, at_us, value,
  least(coalesce(lead(at_us) over in_order - at_us, 1e15), setting_reading_holds() * 6e7)::bigint as hold_us,
  if(at_us - lag(at_us) over in_order <= setting_reading_holds() * 6e7, lag(value) over in_order, null) as before,
  coalesce(at_us = lag(at_us) over in_order, false) or coalesce(at_us = lead(at_us) over in_order, false) as tied
from taken
window in_order as (partition by transport_id, device_id order by at_us, file_id, record_no)
