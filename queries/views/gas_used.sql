-- answers: how much of each gas did a transport use, how sure is that, and what was left in the carried cylinders?
-- grain: one row per transport and gas with a carried or vehicle cylinder; litres empty where left_out says why
-- parameters: none
create or replace temp table gas_used as
with added as (
  select
    transport_id, gas, min(left_out) as left_out,
    round(sum_in_order(start_litres - end_litres, (file_id, record_no)), 9) as used,
    sqrt(sum_in_order(squared_error, (file_id, record_no))) as gauge_error,
    count_if(supplied = 'carried') as carried,
    sum_in_order(if(supplied = 'carried', usable_litres, 0), (file_id, record_no)) as carried_left
  from cylinder_contents
  group by transport_id, gas
)
select
  transport_id, gas, left_out, carried,
  if(left_out is null, used, null) as used,
  if(left_out is null, gauge_error, null) as gauge_error,
  if(left_out is null, carried_left, null) as carried_left
from added
