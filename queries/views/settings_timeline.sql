-- answers: which ventilator settings were in force when, while under way?
-- grain: one row per settings row and stretch of time that it was in force; of equal times the later record alone
-- parameters: none
create or replace temp table settings_timeline as
with held as (
  select
    *,
    greatest(recorded_at, under_way_from) as from_at,
    least(
      coalesce(lead(recorded_at) over (partition by transport_id order by recorded_at, file_id, record_no), under_way_to),
      under_way_to
    ) as to_at
  from ventilator_settings
  where under_way_from is not null
)
select * exclude (under_way_from, under_way_to), epoch_us(to_at) - epoch_us(from_at) as held_us
from held
where from_at < to_at
