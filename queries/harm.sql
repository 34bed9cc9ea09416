-- answers: how many adverse events of each sort did a transport have?
-- grain: one fact per measure and transport that was completed or, for injuries, went out
-- parameters: none
with counted as (
  select
    transport_id, count(*) as events, count_if(preventable) as preventable, count_if(harmful) as harmful,
    count_if(serious) as serious,
    count_if(kind in ('unplanned_extubation', 'line_dislodgement')) as dislodged,
    count_if(kind = 'medication_error') as medication,
    count_if(kind in ('equipment_failure', 'gas_supply_failure', 'power_failure')) as equipment,
    count_if(kind = 'cardiac_arrest') as arrests,
    count_if(kind = 'patient_injury') as patients, count_if(kind = 'crew_injury') as crew
  from care_events
  group by transport_id
), judged as (
  select t.transport_id, unnest([
    {'measure': 'adverse_events', 'counts': t.completed, 'x': c.events},
    {'measure': 'transports_with_event', 'counts': t.completed, 'x': least(coalesce(c.events, 0), 1)},
    {'measure': 'preventable_events', 'counts': t.completed, 'x': c.preventable},
    {'measure': 'harmful_events', 'counts': t.completed, 'x': c.harmful},
    {'measure': 'serious_events', 'counts': t.completed, 'x': c.serious},
    {'measure': 'device_dislodgement', 'counts': t.completed, 'x': c.dislodged},
    {'measure': 'medication_error', 'counts': t.completed, 'x': c.medication},
    {'measure': 'equipment_failure', 'counts': t.completed, 'x': c.equipment},
    {'measure': 'cardiac_arrest', 'counts': t.completed, 'x': c.arrests},
    {'measure': 'patient_injury', 'counts': t.went_out, 'x': c.patients},
    {'measure': 'crew_injury', 'counts': t.went_out, 'x': c.crew}
  ]) as fact
  from trips as t
  left join counted as c using (transport_id)
  where t.went_out
)
select
  fact.measure as measure, transport_id, null as device, null as month, coalesce(fact.x, 0) as x, 1 as t,
  null as left_out
from judged
where fact.counts
