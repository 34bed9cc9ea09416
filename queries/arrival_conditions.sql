-- answers: how warm and how sweet was the patient on arrival?
-- grain: one fact per measure and completed transport of its population
-- parameters: none
with found as (
  select
    t.transport_id, round(round(a.temperature * 10, 8)) / 10 as temperature, round(a.glucose, 9) as glucose,
    coalesce(t.age_at_call < 29, true) and t.cooling is not true as warmed
  from trips as t
  left join arrival as a using (transport_id)
  where t.completed
), judged as (
  select transport_id, unnest([
    {'measure': 'hypothermia_on_arrival', 'counts': warmed, 'met': temperature < setting_hypothermia(), 'missing': 'temperature not recorded'},
    {'measure': 'hyperthermia_on_arrival', 'counts': warmed, 'met': temperature > setting_hyperthermia(), 'missing': 'temperature not recorded'},
    {'measure': 'glucose_low_on_arrival', 'counts': true, 'met': glucose < setting_glucose_low(), 'missing': 'glucose not recorded'}
  ]) as fact
  from found
)
select
  fact.measure as measure, transport_id, null as device, null as month, fact.met::int as x,
  if(fact.met is null, null, 1) as t, if(fact.met is null, fact.missing, null) as left_out
from judged
where fact.counts
