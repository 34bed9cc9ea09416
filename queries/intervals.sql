-- answers: how long was each interval of a completed transport?
-- grain: one fact per measure and transport; minutes
-- parameters: none
with spans as (
  select transport_id, unnest([
    {'measure': 'mobilization_time', 'counts': not_planned, 'start': accepted_at, 'stop': departed_base_at,
      'names': ['accepted_at', 'departed_base_at']},
    {'measure': 'response_time', 'counts': not_planned, 'start': called_at, 'stop': arrived_referring_at,
      'names': ['called_at', 'arrived_referring_at']},
    {'measure': 'stabilization_time', 'counts': true, 'start': arrived_referring_at, 'stop': departed_referring_at,
      'names': ['arrived_referring_at', 'departed_referring_at']},
    {'measure': 'patient_leg_time', 'counts': true, 'start': departed_referring_at, 'stop': arrived_receiving_at,
      'names': ['departed_referring_at', 'arrived_receiving_at']},
    {'measure': 'trip_time', 'counts': true, 'start': accepted_at, 'stop': available_at,
      'names': ['accepted_at', 'available_at']},
    {'measure': 'care_time', 'counts': true, 'start': care_from, 'stop': care_to,
      'names': ['at_patient_at and arrived_referring_at', 'handed_over_at and arrived_receiving_at']}
  ]) as span
  from trips
  where completed
), judged as (
  select
    transport_id, span,
    case
      when span.start is null then span.names[1] || ' missing'
      when span.stop is null then span.names[2] || ' missing'
      when span.stop < span.start then 'end before start'
    end as left_out
  from spans
  where span.counts
)
select
  span.measure as measure, transport_id, null as device, null as month,
  if(left_out is null, minutes_between(span.start, span.stop), null) as x, null as t, left_out
from judged
