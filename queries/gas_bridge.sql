-- answers: how does the gas used by a transport compare with its plan, and what explains the difference?
-- grain: one row per transport of the population of the gas's ratio; litres, minutes. The bridge is empty where it cannot be drawn
-- parameters: $gas (oxygen or air); $first, $last (months, null: open)
select
  b.transport_id, coalesce(strftime(b.month, '%Y-%m'), '') as month, b.device, b.planned, b.used, b.gauge_error,
  b.minutes, b.planned_duration, b.hindsight, b.duration_effect, b.settings_effect, b.unexplained
from gas_bridges as b
where b.gas = $gas and b.planned > 0 and b.used > 0
  and ($first::date is null or b.month >= $first::date)
  and ($last::date is null or b.month <= $last::date)
order by b.transport_id
