-- answers: which mode and pressures did the operator choose, and when were they in force?
-- grain: one row per row of settings_timeline
-- parameters: none
create or replace temp table support_settings as
select
  s.transport_id, t.month, t.ventilator_id, s.class, s.from_at, s.to_at, s.held_us, k.mode, s.rate, k.pip, k.peep, s.fio2,
  s.nitric_oxide,
  lag(k.mode) over in_order as mode_before, lag(s.class) over in_order as class_before
from settings_timeline as s
join kept.settings as k using (file_id, record_no)
join trips as t on t.transport_id = s.transport_id
where t.completed and s.class not in ('none', 'unknown')
window in_order as (partition by s.transport_id order by s.from_at, s.file_id, s.record_no)
