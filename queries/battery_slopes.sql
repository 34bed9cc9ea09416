-- answers: how fast did each ventilator's charge fall on battery?
-- grain: one row per ventilator and month, and per ventilator; minutes on battery, charge lost in % points, sums over transports
-- parameters: $first, $last (months, null: open)
with followed as (
  select
    p.trip as transport_id, p.device_id, p.recorded_at, p.source, p.charge,
    lead(p.recorded_at) over next_one as until_at, lead(p.charge) over next_one as charge_then
  from kept.power as p
  join trips as t on t.transport_id = p.trip
  where p.recorded_at between t.wide_from and t.wide_to
  window next_one as (partition by p.trip, p.device_id order by p.recorded_at, p.file_id, p.record_no)
), spent as (
  select
    f.device_id, f.transport_id, t.month,
    sum(epoch_us(f.until_at) - epoch_us(f.recorded_at))::bigint / 6e7 as minutes, sum(f.charge - f.charge_then) as lost
  from followed as f
  join trips as t using (transport_id)
  where f.source = 'battery' and f.until_at > f.recorded_at
    and least(f.charge, f.charge_then) > setting_charge_floor() and f.charge_then is not null
    and t.month is not null
    and ($first::date is null or t.month >= $first::date)
    and ($last::date is null or t.month <= $last::date)
  group by all
)
select
  s.device_id, coalesce(strftime(s.month, '%Y-%m'), '') as month, any_value(v.battery_endurance) as rated,
  list(s.minutes order by s.transport_id) as minutes_each, list(s.lost order by s.transport_id) as lost_each
from spent as s
join device_service as v on v.device_id = s.device_id and v.kind = 'ventilator'
group by grouping sets ((s.device_id), (s.device_id, s.month))
order by s.device_id, month
