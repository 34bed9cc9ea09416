-- answers: the same as held_readings where of several readings at one moment the later record stands
-- grain: a table macro; one row per moment of a transport and device
-- parameters: the quantity; first and last month and transport ids (null: open)
create or replace temp macro latest_readings(asked, since, until, from_id, to_id) as table
with taken as (
  select
    r.trip as transport_id, t.month, r.device_id, epoch_us(r.recorded_at) as at_us,
    arg_max(round(r.value / per_weight(asked, t.weight), 9), (r.file_id, r.record_no)) as value
  from kept.readings as r
  join trips as t on t.transport_id = r.trip
  where r.quantity = asked and t.completed and r.recorded_at between t.wide_from and t.wide_to
    and (since is null or t.month >= since) and (until is null or t.month <= until)
    and (from_id is null or r.trip >= from_id) and (to_id is null or r.trip <= to_id)
    and per_weight(asked, t.weight) > 0
  group by all
)
select
  transport_id, month, device_id, at_us, value,
  least(coalesce(lead(at_us) over in_order - at_us, 1e15), setting_reading_holds() * 6e7)::bigint as hold_us,
  if(at_us - lag(at_us) over in_order <= setting_reading_holds() * 6e7, lag(value) over in_order, null) as before,
  false as tied
from taken
window in_order as (partition by transport_id, device_id order by at_us)
