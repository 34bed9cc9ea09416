-- answers: when did the ventilator run on battery while under way, and was its display dimmed?
-- grain: one row per power row with source battery and stretch of time that it was in force
-- parameters: none
create or replace temp table battery_pieces as
with held as (
  select
    *,
    greatest(recorded_at, under_way_from) as from_at,
    least(
      lead(recorded_at, 1, under_way_to) over (partition by transport_id order by recorded_at, file_id, record_no),
      under_way_to
    ) as to_at
  from ventilator_power
  where under_way_from is not null
)
select transport_id, dimmed, from_at, to_at, epoch_us(to_at) - epoch_us(from_at) as held_us
from held
where from_at < to_at and source = 'battery'
