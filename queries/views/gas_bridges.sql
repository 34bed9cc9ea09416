-- answers: what leads from the gas planned to the gas used, and what do the settings leave unexplained?
-- grain: one row per completed transport and gas whose use is known; L and min; the plan's parts are empty without a plan
-- parameters: none
create or replace temp table gas_bridges as
with known as (
  select
    t.transport_id, t.month, t.device, u.gas, u.used, u.gauge_error, g.minutes, t.planned_duration,
    if(g.minutes is null, null, a.hindsight) as hindsight,
    nullif(greatest(case u.gas when 'oxygen' then t.planned_oxygen when 'air' then t.planned_air end, 0), 0) as planned
  from gas_used as u
  join trips as t using (transport_id)
  left join gas_time as g on g.transport_id = u.transport_id and g.gas = u.gas
  left join gas_asked as a on a.transport_id = u.transport_id and a.gas = u.gas
  where t.completed and u.left_out is null
)
select
  *,
  planned / planned_duration * (minutes - planned_duration) as duration_effect,
  hindsight - planned / planned_duration * minutes as settings_effect,
  used - hindsight as unexplained
from known
