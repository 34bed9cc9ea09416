-- answers: was a ventilated patient over- or under-ventilated on arrival?
-- grain: one fact per measure and completed transport whose last class of support is invasive or high-frequency
-- parameters: none
with found as (
  select s.transport_id, s.unplaced, round(a.pco2, 9) as pco2, round(a.ph, 9) as ph
  from supported as s
  left join arrival as a using (transport_id)
  where s.last_invasive
), judged as (
  select transport_id, unplaced, unnest([
    {'measure': 'hypocarbia_on_arrival', 'met': pco2 < setting_hypocarbia(),
      'missing': if(pco2 is null, 'pco2 not recorded', null)},
    {'measure': 'hypercarbia_on_arrival', 'met': pco2 > setting_hypercarbia() and ph < setting_acidosis(),
      'missing': case when pco2 is null then 'pco2 not recorded' when ph is null then 'ph not recorded' end}
  ]) as fact
  from found
), explained as (
  select *, if(unplaced, 'under way missing', fact.missing) as left_out
  from judged
)
select
  fact.measure as measure, transport_id, null as device, null as month,
  if(left_out is null, fact.met::int, null) as x, if(left_out is null, 1, null) as t, left_out
from explained
