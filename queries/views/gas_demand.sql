-- answers: how much gas did the settings in force ask for?
-- grain: one row per stretch in which settings and breath rate stay; L/min, empty where flow, timing or fio2 are not recorded
-- parameters: none
create or replace temp table gas_demand as
with stretches as (
  select
    s.* exclude (from_at, to_at, held_us),
    coalesce(b.from_at, s.from_at) as from_at, coalesce(b.to_at, s.to_at) as to_at,
    b.transport_id is null as runs_through,
    if(s.rate is null, null, greatest(s.rate, coalesce(b.total_rate, s.rate))) as breaths
  from settings_timeline as s
  left join breath_rates as b on b.transport_id = s.transport_id and b.stretch_from = s.from_at
), flowing as (
  select
    *,
    case
      when class = 'none' then 0
      when runs_through then flow
      else breaths * (inspiratory_time / 60) * flow
    end as set_flow,
    -- greatest() passes over NULL: an unrecorded fraction must stay unknown, not become none
    case when class = 'none' then 0 when fio2 is not null then greatest(0, (fio2 / 100 - 0.21) / 0.79) end as oxygen_share,
    if(class = 'none', 0, coalesce(nitric_oxide, 0)) as nitric_oxide_ppm
  from stretches
)
select
  f.transport_id, f.class, f.from_at, f.to_at, epoch_us(f.to_at) - epoch_us(f.from_at) as held_us,
  f.set_flow * (1 + g.leak_allowance) as patient_flow,
  f.set_flow * (1 + g.leak_allowance) + if(f.class = 'none', 0, g.bleed_flow) as total_flow,
  f.oxygen_share, f.nitric_oxide_ppm
from flowing as f
join gas_factors as g using (transport_id)
