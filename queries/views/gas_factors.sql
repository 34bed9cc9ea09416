-- answers: how much gas does each transport's ventilator take beside what it gives the patient?
-- grain: one row per transport; the device's own factors, else those of its kind, else those of all
-- parameters: none
create or replace temp table gas_factors as
select
  t.transport_id,
  coalesce(own.leak, alike.leak, setting_leak_allowance()) as leak_allowance,
  coalesce(own.bleed, alike.bleed, setting_bleed_flow()) as bleed_flow
from trips as t
left join kept.devices as v on v.device_id = t.ventilator_id and not v.superseded
left join device_factors as own on own.name = upper(t.ventilator_id)
left join device_factors as alike on alike.name = upper(v.kind)
