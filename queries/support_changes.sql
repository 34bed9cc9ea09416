-- answers: how often did support change class, and was non-invasive support escalated?
-- grain: one fact per measure and completed transport of its population
-- parameters: none
with later as (
  select e.transport_id, bool_or(e.invasive and e.episode > 1) as escalated
  from episodes as e
  group by e.transport_id
), members as (
  select
    s.transport_id, s.episodes - 1 as changes, s.first_non_invasive, l.escalated,
    if(s.unplaced, 'under way missing', null) as left_out
  from supported as s
  left join later as l using (transport_id)
), judged as (
  select transport_id, left_out, unnest([
    {'measure': 'conversions', 'counts': true, 'x': changes},
    {'measure': 'escalations', 'counts': first_non_invasive, 'x': escalated::int}
  ]) as fact
  from members
)
select
  fact.measure as measure, transport_id, null as device, null as month, fact.x as x,
  if(left_out is null, 1, null) as t, left_out
from judged
where fact.counts
