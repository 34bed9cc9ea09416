-- answers: by how much does each device's log run beside the transports that carried it?
-- grain: one row per log and device of device_pairs: transports beside which it has a run, how many agree, by how many minutes it is ahead, spread
-- parameters: none
with counted as (
  select log, device_id, slot, count(distinct transport_id) as agreeing
  from (
    select log, device_id, transport_id, unnest([floor(ahead / 10), floor(ahead / 10) - 1]) as slot
    from device_pairs
  )
  group by all
), chosen as (
  select
    p.log, p.device_id, p.transport_id,
    arg_min(p.ahead, abs(p.late - p.over)) as ahead, arg_min([p.late, p.over], abs(p.late - p.over)) as ends
  from device_pairs as p
  join (
    select log, device_id, arg_max(slot, row(agreeing, -abs(slot + 1), -slot)) as slot
    from counted
    group by log, device_id
  ) as s on s.log = p.log and s.device_id = p.device_id and floor(p.ahead / 10) - s.slot in (0, 1)
  group by p.log, p.device_id, p.transport_id
), agreed as (
  select *, median(ahead) over (partition by log, device_id) as minutes_ahead
  from chosen
)
select
  a.log, a.device_id, any_value(n.transports) as transports, count(*) as agreeing, any_value(a.minutes_ahead) as minutes_ahead,
  median(greatest(abs(a.ends[1] - a.minutes_ahead), abs(a.ends[2] - a.minutes_ahead))) as spread
from agreed as a
join (select log, device_id, count(distinct transport_id) as transports from device_pairs group by log, device_id) as n
  on n.log = a.log and n.device_id = a.device_id
group by a.log, a.device_id
order by a.log, a.device_id
