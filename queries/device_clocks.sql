-- answers: by how much does each device's log run beside the transports that carried it?
-- grain: one row per log and device of device_runs: transports beside which it has a run, how many agree, by how many minutes it is ahead, spread
-- parameters: none
with carriers as (
  select device_id, transport_id
  from kept.carried
  union
  select ventilator_id, transport_id
  from trips
  where ventilator_id is not null
), pairs as (
  select
    r.log, r.device_id, t.transport_id,
    minutes_between(t.under_way_from, r.run_from) as late,
    minutes_between(t.under_way_to, r.run_to) as over,
    (late + over) / 2 as ahead
  from (
    select d.*, transport_id as beside
    from device_runs as d
    where transport_id is not null
    union all
    select d.*, c.transport_id
    from device_runs as d
    join carriers as c on d.transport_id is null and c.device_id = d.device_id
  ) as r
  join trips as t on t.transport_id = r.beside
  where t.went_out and t.under_way_from < t.under_way_to and abs(ahead) <= 14 * 60
), counted as (
  select log, device_id, slot, count(distinct transport_id) as agreeing
  from (
    select log, device_id, transport_id, unnest([floor(ahead / 10), floor(ahead / 10) - 1]) as slot
    from pairs
  )
  group by all
), chosen as (
  select
    p.log, p.device_id, p.transport_id,
    arg_min(p.ahead, abs(p.late - p.over)) as ahead, arg_min([p.late, p.over], abs(p.late - p.over)) as ends
  from pairs as p
  join (
    select log, device_id, arg_max(slot, row(agreeing, -abs(slot + 1))) as slot
    from counted
    group by log, device_id
  ) as s on s.log = p.log and s.device_id = p.device_id and floor(p.ahead / 10) - s.slot in (0, 1)
  group by p.log, p.device_id, p.transport_id
), agreed as (
  select *, median(ahead) over (partition by log, device_id) as minutes_ahead
  from chosen
)
select
  a.log, a.device_id,
  (select count(distinct p.transport_id) from pairs as p where p.log = a.log and p.device_id = a.device_id) as transports,
  count(*) as agreeing,
  any_value(a.minutes_ahead) as minutes_ahead,
  median(greatest(abs(a.ends[1] - a.minutes_ahead), abs(a.ends[2] - a.minutes_ahead))) as spread
from agreed as a
group by a.log, a.device_id
order by a.log, a.device_id
