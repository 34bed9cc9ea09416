-- answers: which measures could not be judged on each released transport, and why?
-- grain: one row per transport, measure and reason; none that would tell an age that is withheld
-- parameters: none
select distinct d.code as transport, f.measure, f.left_out
from disclosed as d
join facts as f using (transport_id)
where f.left_out is not null and f.measure <> 'record_linked'
  and not (d.age_group = 'withheld' and f.measure in ('hypothermia_on_arrival', 'hyperthermia_on_arrival'))
order by d.code, f.measure, f.left_out
