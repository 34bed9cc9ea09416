-- answers: had the ventilator passed a leak check before the patient leg?
-- grain: one fact per completed transport with a ventilator
-- parameters: none
with passed as (
  select distinct device_id, recorded_at from kept.checks where kind = 'leak' and result = 'pass'
), latest as (
  select
    t.transport_id, t.departed_referring_at, p.recorded_at,
    coalesce(t.accepted_at, t.first_stamp) - to_microseconds((setting_leak_check_before() * 6e7)::bigint) as counts_from
  from trips as t
  asof left join passed as p on p.device_id = t.ventilator_id and t.departed_referring_at >= p.recorded_at
  where t.completed and t.ventilator_id is not null
)
select
  'leak_check_passed' as measure, transport_id, null as device, null as month,
  if(departed_referring_at is null, null, coalesce(recorded_at >= counts_from, false)::int) as x,
  if(departed_referring_at is null, null, 1) as t,
  if(departed_referring_at is null, 'departed_referring_at missing', null) as left_out
from latest
