-- answers: which total breath rate was read while flow stops between breaths?
-- grain: one row per stretch of such settings, cut at each reading; total_rate empty until something is read
-- parameters: none
create or replace temp table breath_rates as
with stopping as (
  select transport_id, from_at, to_at
  from settings_timeline
  where not continuous_flow and class not in ('none', 'low_flow', 'high_flow', 'cpap', 'high_frequency')
), marks as (
  select transport_id, from_at as mark_at, from_at, to_at, null::double as total_rate, 0 as file_id, 0 as record_no
  from stopping
  union all
  select t.transport_id, r.recorded_at, null, null, r.value, r.file_id, r.record_no
  from kept.readings as r
  join trips as t on t.transport_id = r.trip
  where r.quantity = 'rate'
    and r.recorded_at between t.wide_from and t.wide_to
    and (r.device_id = t.ventilator_id or t.ventilator_id is null or r.device_id is null)
    and t.transport_id in (select transport_id from stopping)
), carried as (
  select
    transport_id, mark_at, lead(mark_at) over in_order as next_at, last_value(from_at ignore nulls) over so_far as stretch_from,
    last_value(to_at ignore nulls) over so_far as stretch_to, last_value(total_rate ignore nulls) over so_far as total_rate
  from marks
  window
    in_order as (partition by transport_id order by mark_at, file_id, record_no),
    so_far as (
      partition by transport_id order by mark_at, file_id, record_no rows between unbounded preceding and current row
    )
)
select
  transport_id, stretch_from, mark_at as from_at, least(coalesce(next_at, stretch_to), stretch_to) as to_at, total_rate
from carried
where mark_at < least(coalesce(next_at, stretch_to), stretch_to)
