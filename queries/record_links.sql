-- answers: how many device rows are linked to a transport?
-- grain: one fact per transport, device and month of the rows' own time; rows that name an unknown transport are left out
-- parameters: none
with whole as (
  -- most transports begin and end in one month, which need be looked up but once
  select w.*, c.month, coalesce(w.last_quarter < c.until_utc, false) as in_one
  from (
    select trip, device_id, min(quarter) as first_quarter, max(quarter) as last_quarter, sum(log_count)::bigint as log_count
    from log_rows
    where log in ('settings', 'readings', 'alarms')
    group by trip, device_id
  ) as w
  asof left join calendar as c on w.first_quarter >= c.from_utc
), monthly as (
  select trip, device_id, month, log_count from whole where in_one
  union all
  select r.trip, r.device_id, c.month, sum(r.log_count)::bigint
  from (
    select r.*
    from log_rows as r
    semi join (select * from whole where not in_one) as w
      on r.trip is not distinct from w.trip and r.device_id is not distinct from w.device_id
    where r.log in ('settings', 'readings', 'alarms')
  ) as r
  asof left join calendar as c on r.quarter >= c.from_utc
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
