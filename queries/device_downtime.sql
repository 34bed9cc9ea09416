-- answers: how long was each registered device in service and out of it, how often did it fail, and how long did repairs take?
-- grain: one row per device with time in service between $from and $until; hours; repairs are whole, also beyond $until
-- parameters: $from, $until (UTC)
with held as (
  select
    device_id, kind, greatest($from::timestamp, coalesce(in_service_from, $from::timestamp)) as from_at,
    least($until::timestamp, coalesce(in_service_until, $until::timestamp)) as to_at
  from device_service
), away as (
  select h.device_id, sum(epoch_us(least(h.to_at, o.to_at)) - epoch_us(greatest(h.from_at, o.from_at)))::bigint as us
  from held as h
  join device_outages as o on o.device_id = h.device_id and o.from_at < h.to_at and o.to_at > h.from_at
  where h.from_at < h.to_at
  group by h.device_id
), removed as (
  select
    s.device_id, count_if(s.reason = 'failure') as failures, count(*) as removals,
    count_if(s.reason = 'failure' and s.returned_at >= s.removed_at) as repaired,
    coalesce(sum(epoch_us(s.returned_at) - epoch_us(s.removed_at))
      filter (where s.reason = 'failure' and s.returned_at >= s.removed_at), 0)::bigint as repair_us,
    coalesce(sum(s.cost) filter (where s.cost is not null), 0) as cost
  from kept.service as s
  join held as h on h.device_id = s.device_id and s.removed_at >= h.from_at and s.removed_at < h.to_at
  group by s.device_id
)
select
  h.device_id, h.kind, coalesce(u.team, '') as team, (epoch_us(h.to_at) - epoch_us(h.from_at)) / 3.6e9 as held_hours,
  coalesce(a.us, 0) / 3.6e9 as out_hours, coalesce(r.failures, 0) as failures, coalesce(r.removals, 0) as removals,
  coalesce(r.repaired, 0) as repaired, coalesce(r.repair_us, 0) / 3.6e9 as repair_hours, coalesce(r.cost, 0) as cost
from held as h
left join away as a using (device_id)
left join removed as r using (device_id)
left join unit_homes as u using (device_id)
where h.from_at < h.to_at
order by h.kind, h.device_id
