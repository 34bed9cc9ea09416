-- answers: what may be told of the transports of a cohort that others could know them by?
-- grain: one row per transport; a diagnosis of fewer transports than asked for counts as other
-- parameters: 1 year, 2 and 3 bands of birth weight and weight, 4 bands of age, 5 the smallest number, 6 which transports
create or replace temp table disclosed as
with members as (
  select r.*, c.code, c.patient_code
  from research as r
  join research_codes as c using (transport_id)
  where %[6]s
), rated as (
  select *, count(*) over (partition by diagnosis) as alike
  from members
)
select
  transport_id, code, patient_code, %[1]s as year, sex, vehicle, gestation_band,
  if(alike < %[5]d and diagnosis <> 'not recorded', 'other', diagnosis) as diagnosis,
  %[2]s as birth_weight_band, %[3]s as weight_band, %[4]s as age_group, age_band
from rated
