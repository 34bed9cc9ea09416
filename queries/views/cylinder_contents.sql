-- answers: how much free gas did each cylinder hold before and after, and how sure are the gauges?
-- grain: one row per cylinder that is not a wall outlet; litres empty where left_out says why
-- parameters: none
create or replace temp table cylinder_contents as
with named as (
  select
    *, coalesce(supply, 'carried') as supplied, upper(trim(size)) as name,
    try_cast(replace(regexp_extract(upper(trim(size)), '^([0-9]+([.,][0-9]+)?) *L?$', 1), ',', '.') as double) as water_volume,
    pressure_at_filling(start_pressure, start_temperature, end_temperature) as start_kpa,
    pressure_at_filling(end_pressure, end_temperature, start_temperature) as end_kpa
  from kept.cylinders
  where supply is distinct from 'wall'
), scaled as (
  select
    n.*,
    n.gas = 'oxygen' and (
      (n.start_mass is not null and n.end_mass is not null)
      or coalesce(n.name, '') = 'LIQUID'
      or (coalesce(n.name, '') = '' and (n.start_mass is not null or n.end_mass is not null))
    ) as liquid,
    coalesce(in_psi(1) * f.litres_per_psi, in_bar(1) * n.water_volume) as litres_per_kpa
  from named as n
  left join cylinder_factors as f on f.size = n.name
), measured as (
  select
    *,
    if(liquid, in_pounds(start_mass) * setting_liquid_factor(), start_kpa * litres_per_kpa) as start_litres,
    if(liquid, in_pounds(end_mass) * setting_liquid_factor(), end_kpa * litres_per_kpa) as end_litres,
    case
      when liquid and (start_mass is null or end_mass is null) then 'cylinder without a mass'
      when not liquid and (start_pressure is null or end_pressure is null) then 'cylinder without a pressure'
      when not liquid and litres_per_kpa is null then 'cylinder size unknown'
    end as left_out
  from scaled
)
select
  transport_id, cylinder_id, gas, supplied, liquid, start_litres, end_litres, left_out, file_id, record_no,
  if(liquid, end_litres, greatest(0, end_kpa - in_kilopascals(setting_residual_pressure())) * litres_per_kpa)
    as usable_litres,
  if(liquid, 0, 2 * (in_kilopascals(setting_gauge_division() / 2) * litres_per_kpa) ** 2) as squared_error
from measured
