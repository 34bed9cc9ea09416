-- answers: from when to when was each registered device in service?
-- grain: one row per device that is not superseded; an open end is empty
-- parameters: none
create or replace temp table device_service as
select
  device_id, kind, battery_endurance, purchase_cost,
  coalesce(battery_endurance_display_dimmed, battery_endurance) as dimmed_endurance,
  day_starts(in_service_on) as in_service_from, day_starts(retired_on + 1) as in_service_until
from kept.devices
where not superseded
