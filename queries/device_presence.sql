-- answers: when did the number of devices of a kind that are there change, and by how many?
-- grain: one row per moment of a change between $from and $until: in service, out of service, back, retired; the first is $from
-- parameters: $kind; $team (null: all); $from, $until (UTC)
with held as (
  select
    d.device_id, greatest($from::timestamp, coalesce(d.in_service_from, $from::timestamp)) as from_at,
    least($until::timestamp, coalesce(d.in_service_until, $until::timestamp)) as to_at
  from device_service as d
  left join unit_homes as u using (device_id)
  where d.kind = $kind and ($team::varchar is null or u.team = $team)
), away as (
  select h.device_id, greatest(h.from_at, o.from_at) as from_at, least(h.to_at, o.to_at) as to_at
  from held as h
  join device_outages as o on o.device_id = h.device_id and o.from_at < h.to_at and o.to_at > h.from_at
), changes as (
  select from_at as changed_at, 1 as units, 1 as registered from held where from_at < to_at
  union all
  select to_at, -1, -1 from held where from_at < to_at
  union all
  select from_at, -1, 0 from away where from_at < to_at
  union all
  select to_at, 1, 0 from away where from_at < to_at
  union all
  select $from::timestamp, 0, 0
)
select changed_at, sum(units)::bigint as units, sum(registered)::bigint as registered
from changes
where changed_at < $until::timestamp
group by changed_at
having sum(units) <> 0 or sum(registered) <> 0 or changed_at = $from::timestamp
order by changed_at
