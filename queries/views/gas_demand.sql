-- answers: how much gas did the settings in force ask for?
-- grain: one row per stretch of settings_timeline; L/min, empty where flow, breath timing or fio2 are not recorded
-- parameters: none
create or replace temp table gas_demand as
with steady as (
  select
    s.*, e.mean_extra, e.last_extra,
    s.continuous_flow or s.class in ('low_flow', 'high_flow', 'cpap', 'high_frequency') as runs_through,
    s.inspiratory_time / 60 * s.flow as litres_per_breath,
    greatest(0, (s.fio2 / 100 - 0.21) / 0.79) as oxygen_share
  from settings_timeline as s
  left join extra_breaths as e using (transport_id, from_at)
), flowing as (
  select
    *,
    case when class = 'none' then 0 when runs_through then flow
      else (rate + coalesce(mean_extra, 0)) * litres_per_breath end as mean_set,
    case when class = 'none' then 0 when runs_through then flow
      else (rate + coalesce(last_extra, 0)) * litres_per_breath end as last_set
  from steady
)
select
  transport_id, class, from_at, to_at, held_us,
  if(class = 'none', 0, 1) * (mean_set * (1 + setting_leak_allowance()) + setting_bleed_flow()) as mean_flow,
  if(class = 'none', 0, 1) * (last_set * (1 + setting_leak_allowance()) + setting_bleed_flow()) as last_flow,
  if(class = 'none', 0, oxygen_share) as oxygen_share
from flowing
