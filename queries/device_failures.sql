-- answers: how often did devices fail in how many hours in service?
-- grain: one fact per registered device and month of the period; hours. Failures of devices not in service are left out
-- parameters: $first, $last (months, both included)
with asked as (
  select * from calendar where month between $first::date and $last::date
), held as (
  select
    d.device_id, a.month, greatest(a.from_utc, coalesce(d.in_service_from, a.from_utc)) as from_at,
    least(a.until_utc, coalesce(d.in_service_until, a.until_utc)) as to_at
  from device_service as d
  cross join asked as a
), away as (
  select h.device_id, h.month, sum(epoch_us(least(h.to_at, o.to_at)) - epoch_us(greatest(h.from_at, o.from_at)))::bigint as us
  from held as h
  join device_outages as o on o.device_id = h.device_id and o.from_at < h.to_at and o.to_at > h.from_at
  where h.from_at < h.to_at
  group by h.device_id, h.month
), failed as (
  select s.device_id, a.month, count(*) as failures, count_if(h.device_id is not null) as counted
  from kept.service as s
  join asked as a on s.removed_at >= a.from_utc and s.removed_at < a.until_utc
  left join held as h on h.device_id = s.device_id and h.month = a.month and s.removed_at >= h.from_at and s.removed_at < h.to_at
  where s.reason = 'failure'
  group by s.device_id, a.month
)
select
  'device_failures' as measure, null as transport_id, h.device_id as device, h.month, coalesce(f.counted, 0) as x,
  (epoch_us(h.to_at) - epoch_us(h.from_at) - coalesce(a.us, 0)) / 3.6e9 as t, null as left_out
from held as h
left join away as a using (device_id, month)
left join failed as f using (device_id, month)
where h.from_at < h.to_at
union all
select 'device_failures', null, device_id, month, null, failures - counted, 'device not registered or not in service'
from failed
where failures > counted
