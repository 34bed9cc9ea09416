-- answers: how many breaths beyond the set ones did the ventilator give where flow stops between breaths?
-- grain: one row per stretch of settings_timeline with such readings; breaths/min, mean over the stretch and last
-- parameters: none
create or replace temp table extra_breaths as
with breathing as (
  select
    s.transport_id, s.from_at, s.to_at, s.held_us, r.recorded_at, greatest(r.value - s.rate, 0) as extra,
    lead(r.recorded_at, 1, s.to_at) over (
      partition by s.transport_id, s.from_at order by r.recorded_at, r.file_id, r.record_no
    ) as until_at
  from settings_timeline as s
  join trips as t using (transport_id)
  join kept.readings as r on r.trip = s.transport_id and r.recorded_at >= s.from_at and r.recorded_at < s.to_at
  where not s.continuous_flow
    and r.quantity = 'rate'
    and (r.device_id = t.ventilator_id or t.ventilator_id is null or r.device_id is null)
)
select
  transport_id, from_at,
  sum(extra * (epoch_us(until_at) - epoch_us(recorded_at)) order by recorded_at) / any_value(held_us) as mean_extra,
  arg_max(extra, until_at) as last_extra
from breathing
where until_at > recorded_at
group by transport_id, from_at
