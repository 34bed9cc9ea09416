-- answers: would the oxygen left in the carried cylinders have lasted less than the reserve at the last demand?
-- grain: one fact per completed transport with a carried oxygen cylinder
-- parameters: none
select
  'oxygen_reserve_short' as measure, transport_id, null as device, null as month,
  if(left_out is null, coalesce(minutes_left < setting_oxygen_reserve(), false)::int, null) as x,
  if(left_out is null, 1, null) as t, left_out
from gas_left
where gas = 'oxygen'
