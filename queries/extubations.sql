-- answers: how often did a tube come out unplanned, by transport and by hour with a tube?
-- grain: one fact per measure and completed transport with an invasive episode with interface tube
-- parameters: none
with counted as (
  select transport_id, count(*) as events
  from care_events
  where kind = 'unplanned_extubation'
  group by transport_id
), members as (
  select
    s.transport_id, coalesce(c.events, 0) as events, s.tube_hours,
    if(s.unplaced, 'under way missing', null) as left_out
  from supported as s
  left join counted as c using (transport_id)
  where s.invasive_tube
), judged as (
  select *, unnest([
    {'measure': 'unplanned_extubation', 't': 1::double},
    {'measure': 'unplanned_extubation_hours', 't': tube_hours}
  ]) as fact
  from members
)
select
  fact.measure as measure, transport_id, null as device, null as month,
  if(left_out is null, events, null) as x, if(left_out is null, fact.t, null) as t, left_out
from judged
