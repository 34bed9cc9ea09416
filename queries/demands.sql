-- answers: which requests were declined or delayed, and for want of equipment?
-- grain: one fact per measure and transport, of any disposition or completed
-- parameters: none
with judged as (
  select transport_id, unnest([
    {'measure': 'declined_no_equipment', 'counts': true,
      'met': disposition = 'declined' and coalesce(disposition_reason = 'no_equipment', false)},
    {'measure': 'declined', 'counts': true, 'met': disposition = 'declined'},
    {'measure': 'delayed_no_equipment', 'counts': completed, 'met': coalesce(delay_reason = 'no_equipment', false)}
  ]) as fact
  from trips
)
select
  fact.measure as measure, transport_id, null as device, null as month, fact.met::int as x, 1 as t, null as left_out
from judged
where fact.counts
