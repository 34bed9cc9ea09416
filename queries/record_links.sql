-- answers: how many device rows are linked to a transport?
-- grain: one fact per transport, device and month of the rows' own time; rows that name an unknown transport are left out
-- parameters: none
with monthly as (
  select r.trip, r.device_id, c.month, sum(r.log_count)::bigint as log_count
  from log_rows as r
  asof left join calendar as c on r.quarter >= c.from_utc
  where r.log in ('settings', 'readings', 'alarms')
  group by all
), judged as (
  select
    t.transport_id, coalesce(m.device_id, 'not recorded') as device, m.month, m.log_count,
    m.trip is not null and t.transport_id is null as unknown
  from monthly as m
  left join trips as t on t.transport_id = m.trip
)
select
  'record_linked' as measure, transport_id, device, month,
  case when not unknown then if(transport_id is null, 0, log_count) end as x, log_count as t,
  if(unknown, 'names a transport not yet known', null) as left_out
from judged
