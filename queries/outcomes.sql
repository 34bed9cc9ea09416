-- answers: did the patient die under way or within seven days?
-- grain: one fact per measure and completed transport
-- parameters: none
with judged as (
  select transport_id, unnest([
    {'measure': 'died_in_transit', 'met': died_in_transit},
    {'measure': 'died_within_7_days', 'met': died_within_7_days}
  ]) as fact
  from trips
  where completed
)
select
  fact.measure as measure, transport_id, null as device, null as month, fact.met::int as x,
  if(fact.met is null, null, 1) as t, if(fact.met is null, fact.measure || ' not recorded', null) as left_out
from judged
