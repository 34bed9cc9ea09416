-- answers: what was found when the patient arrived at the receiving hospital?
-- grain: one row per transport with a receiving_arrival assessment: the last one
-- parameters: none
create or replace temp table arrival as
select *
from kept.assessments
where stage = 'receiving_arrival'
qualify row_number() over (
  partition by transport_id order by recorded_at desc nulls last, file_id desc, record_no desc
) = 1
