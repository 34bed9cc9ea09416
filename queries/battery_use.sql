-- answers: how long did the ventilator run on battery, and was the battery overdrawn?
-- grain: one fact per measure and completed transport with a power record of its ventilator; minutes
-- parameters: none
with judged as (
  select transport_id, unnest([
    {'measure': 'battery_time', 'x': round(minutes, 9), 't': null, 'left_out': left_out},
    {'measure': 'battery_overdrawn', 'x': (round(share, 9) > setting_battery_share())::int::double, 't': 1,
      'left_out': coalesce(left_out, if(share is null, 'no battery rating', null))}
  ]) as fact
  from battery_drawn
)
select
  fact.measure as measure, transport_id, null as device, null as month,
  if(fact.left_out is null, fact.x, null) as x, if(fact.left_out is null, fact.t, null) as t, fact.left_out as left_out
from judged
