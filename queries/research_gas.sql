-- answers: how much of each gas did each released transport plan, use and have left?
-- grain: one row per completed transport and gas with a carried or vehicle cylinder
-- parameters: none
select
  d.code as transport, u.gas, b.planned, u.used, u.gauge_error, b.hindsight, b.minutes, b.duration_effect,
  b.settings_effect, b.unexplained, if(l.left_out is null, l.carried_left, null) as carried_left,
  if(l.left_out is null, l.last_flow, null) as last_flow, l.minutes_left, coalesce(u.left_out, l.left_out) as left_out
from disclosed as d
join trips as t on t.transport_id = d.transport_id and t.completed
join gas_used as u on u.transport_id = d.transport_id
left join gas_bridges as b on b.transport_id = d.transport_id and b.gas = u.gas
left join gas_left as l on l.transport_id = d.transport_id and l.gas = u.gas
order by d.code, u.gas
