-- answers: which events stand, and what kind of harm was each?
-- grain: one row per event that is not superseded
-- parameters: none
create or replace temp table care_events as
select
  event_id, transport_id, recorded_at, kind, harm, device_id, coalesce(preventable, false) as preventable,
  coalesce(harm in ('mild', 'moderate', 'severe', 'death'), false) as harmful,
  coalesce(harm in ('severe', 'death'), false) as serious
from kept.events
where not superseded
