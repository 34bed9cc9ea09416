-- answers: what was found at each stage of a transport?
-- grain: one row per transport and stage with an assessment: the last one
-- parameters: none
create or replace temp table assessed as
select *
from kept.assessments
qualify row_number() over (
  partition by transport_id, stage order by recorded_at desc nulls last, file_id desc, record_no desc
) = 1
