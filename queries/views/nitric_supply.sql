-- answers: at which concentration did a transport carry nitric oxide?
-- grain: one row per transport with such a cylinder; empty where it is not recorded, or cylinders differ
-- parameters: none
create or replace temp table nitric_supply as
select
  transport_id, if(count(concentration) = count(*) and min(concentration) = max(concentration), min(concentration), null) as ppm
from kept.cylinders
where gas = 'nitric_oxide' and supply is distinct from 'wall'
group by transport_id
