-- answers: which settings rows are those of a transport's ventilator?
-- grain: one row per settings row inside the widened window of a current transport
-- parameters: none
create or replace temp table ventilator_settings as
select
  t.transport_id, t.under_way_from, t.under_way_to, s.recorded_at, s.file_id, s.record_no,
  support_class(s.mode, s.interface) as class, s.interface, coalesce(s.continuous_flow, true) as continuous_flow,
  s.rate, s.inspiratory_time, s.flow, s.fio2, s.nitric_oxide
from kept.settings as s
join trips as t on t.transport_id = s.trip
where s.recorded_at between t.wide_from and t.wide_to
  and (
    s.device_id = t.ventilator_id
    or t.ventilator_id is null
    or (s.device_id is null and s.transport_id is not null)
  )
