-- answers: what was found when the patient arrived at the receiving hospital?
-- grain: one row per transport with a receiving_arrival assessment: the last one
-- parameters: none
create or replace temp table arrival as
select *
from assessed
where stage = 'receiving_arrival'
