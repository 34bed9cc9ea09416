-- answers: which power rows are those of a transport's ventilator?
-- grain: one row per power row inside the widened window of a current transport
-- parameters: none
create or replace temp table ventilator_power as
select
  t.transport_id, t.under_way_from, t.under_way_to, p.recorded_at, p.file_id, p.record_no, p.source,
  coalesce(p.display_dimmed, false) as dimmed
from kept.power as p
join trips as t on t.transport_id = p.trip and t.ventilator_id = p.device_id
where p.recorded_at between t.wide_from and t.wide_to
