-- answers: how does the gas used by a transport compare with its plan, and what explains the difference?
-- grain: one row per transport of the population of the gas's ratio; litres, minutes. The bridge is empty where it cannot be drawn
-- parameters: $gas (oxygen or air); $first, $last (months, null: open)
with hindsight as (
  select
    transport_id,
    if(bool_or(carried_us > 0 and mean_flow is null), null, sum(mean_flow * carried_us order by from_at) / 6e7) as litres
  from carried_demand
  where gas = $gas and carried_us > 0
  group by transport_id
), drawn as (
  select
    t.transport_id, strftime(t.month, '%Y-%m') as month, t.device, f.t as planned, f.x as used, u.gauge_error,
    t.planned_duration, g.minutes, h.litres as hindsight, f.t / t.planned_duration as per_minute
  from facts as f
  join trips as t using (transport_id)
  join gas_used as u on u.transport_id = t.transport_id and u.gas = $gas
  left join gas_time as g on g.transport_id = t.transport_id and g.gas = $gas
  left join hindsight as h on h.transport_id = t.transport_id
  where f.measure = $gas || '_ratio' and f.left_out is null
    and ($first::date is null or t.month >= $first::date)
    and ($last::date is null or t.month <= $last::date)
)
select
  transport_id, coalesce(month, '') as month, device, planned, used, gauge_error,
  minutes, planned_duration, hindsight,
  per_minute * (minutes - planned_duration) as duration_effect,
  hindsight - per_minute * minutes as settings_effect,
  used - hindsight as unexplained
from drawn
order by transport_id
