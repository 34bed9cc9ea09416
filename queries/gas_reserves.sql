-- answers: how many minutes of gas were left on arrival at the last demand?
-- grain: one row per completed transport with a carried cylinder of the gas that can be judged; minutes empty without demand
-- parameters: $gas; $first, $last (months, null: open)
select
  transport_id, coalesce(strftime(month, '%Y-%m'), '') as month, carried_left, coalesce(last_flow, 0) as last_flow,
  minutes_left, coalesce(minutes_left < setting_oxygen_reserve(), false) as short
from gas_left
where gas = $gas and left_out is null
  and ($first::date is null or month >= $first::date)
  and ($last::date is null or month <= $last::date)
order by minutes_left nulls last, placed_at, transport_id
