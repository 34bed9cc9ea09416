-- answers: how far were measured pressures and rates from the set ones?
-- grain: one row
-- parameters: $quantity (pip, peep or rate); $first, $last (months, null: open)
with paired as (
  select
    h.transport_id, h.value - case $quantity when 'pip' then s.pip when 'peep' then s.peep else s.rate end as apart,
    least(h.at_us + h.hold_us, epoch_us(s.to_at)) - greatest(h.at_us, epoch_us(s.from_at)) as held_us
  from held_readings($quantity, $first::date, $last::date, null, null) as h
  join support_settings as s
    on s.transport_id = h.transport_id and h.at_us < epoch_us(s.to_at) and h.at_us + h.hold_us > epoch_us(s.from_at)
  where (h.device_id = s.ventilator_id or s.ventilator_id is null or h.device_id is null)
    and ($first::date is null or h.month >= $first::date) and ($last::date is null or h.month <= $last::date)
)
select
  count(distinct transport_id) as transports, coalesce(sum(held_us), 0) / 3.6e9 as hours,
  quantile_cont(apart, 0.5) as middle,
  coalesce(sum(held_us) filter (where round(abs(apart), 9) > setting_pressure_apart()), 0) / 3.6e9 as apart_hours
from paired
where apart is not null and held_us > 0
