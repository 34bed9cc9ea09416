-- answers: what is known of each transport, derived quantities included?
-- grain: one row per current transport; columns as ResearchColumns lists them
-- parameters: 1 sums over the facts of a transport, 2 the columns; both are made from ResearchColumns
create or replace temp table research as
with judged as (
  select transport_id, %[1]s
  from facts
  where transport_id is not null
  group by transport_id
)
select
%[2]s
from trips as t
left join judged as f on f.transport_id = t.transport_id
left join assessed as ra on ra.transport_id = t.transport_id and ra.stage = 'referring_arrival'
left join assessed as va on va.transport_id = t.transport_id and va.stage = 'receiving_arrival'
left join risk_scores as rr on rr.transport_id = t.transport_id and rr.stage = 'referring_arrival'
left join risk_scores as rv on rv.transport_id = t.transport_id and rv.stage = 'receiving_arrival'
left join supported as s on s.transport_id = t.transport_id
left join support_summary as c on c.transport_id = t.transport_id
left join alarm_summary as a on a.transport_id = t.transport_id
left join event_summary as e on e.transport_id = t.transport_id
left join gas_bridges as ox on ox.transport_id = t.transport_id and ox.gas = 'oxygen'
left join gas_bridges as ai on ai.transport_id = t.transport_id and ai.gas = 'air'
left join gas_left as lo on lo.transport_id = t.transport_id and lo.gas = 'oxygen'
left join gas_left as la on la.transport_id = t.transport_id and la.gas = 'air'
left join battery_drawn as b on b.transport_id = t.transport_id
