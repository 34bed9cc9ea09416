-- answers: by how many kilograms is a quantity divided before it is compared between patients?
-- grain: a macro; 1 for quantities that do not grow with the patient, empty where the weight is not known
-- parameters: a quantity or alarm condition; the weight in g
create or replace temp macro per_weight(name, weight) as
  if(name like 'expired_tidal_volume%' or name like 'minute_volume%', weight / 1000, 1)
