-- answers: did a transport use the gas that was planned?
-- grain: one fact per measure and completed transport with a plan for that gas
-- parameters: none
with planned as (
  select transport_id, unnest([
    {'gas': 'oxygen', 'litres': planned_oxygen}, {'gas': 'air', 'litres': planned_air}
  ]) as plan
  from trips
  where completed
), members as (
  select
    p.transport_id, p.plan.gas as gas, p.plan.litres as planned, u.used, u.gauge_error,
    case
      when u.transport_id is null then 'no ' || p.plan.gas || ' cylinder recorded'
      when u.left_out is not null then u.left_out
      when u.used <= 0 then 'used at or below 0'
    end as left_out
  from planned as p
  left join gas_used as u on u.transport_id = p.transport_id and u.gas = p.plan.gas
  where p.plan.litres > 0
), judged as (
  select *, unnest([
    {'measure': gas || '_ratio', 'x': used, 't': planned},
    {'measure': gas || '_over_plan', 'x': (round(used - planned - gauge_error, 9) > 0)::int::double, 't': 1::double}
  ]) as fact
  from members
)
select
  fact.measure as measure, transport_id, null as device, null as month,
  if(left_out is null, fact.x, null) as x, if(left_out is null, fact.t, null) as t, left_out
from judged
where fact.measure <> 'air_over_plan'
