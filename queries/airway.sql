-- answers: was the tube confirmed, placed at the first attempt, and the patient handed over by a structure?
-- grain: one fact per measure and completed transport of its population
-- parameters: none
with members as (
  select t.*, coalesce(s.invasive_tube, false) as tubed, coalesce(s.invasive_tube and s.unplaced, false) as unplaced
  from trips as t
  left join supported as s using (transport_id)
  where t.completed
), judged as (
  select transport_id, unnest([
    {'measure': 'tube_confirmed', 'counts': tubed, 'met': tube_confirmed,
      'missing': case when unplaced then 'under way missing' when tube_confirmed is null then 'tube_confirmed not recorded' end},
    {'measure': 'first_attempt_intubation', 'counts': coalesce(intubation_attempts >= 1, false),
      'met': intubation_attempts = 1 and intubation_success is not false, 'missing': null},
    {'measure': 'structured_handover', 'counts': true, 'met': handover_structured,
      'missing': if(handover_structured is null, 'handover_structured not recorded', null)}
  ]) as fact
  from members
)
select
  fact.measure as measure, transport_id, null as device, null as month,
  if(fact.missing is null, fact.met::int, null) as x, if(fact.missing is null, 1, null) as t, fact.missing as left_out
from judged
where fact.counts
