-- answers: for how long was a quantity below, in and above a range while support was given?
-- grain: one row; time in hours; above counts only with added oxygen where that is asked
-- parameters: $quantity; $low, $high; $invasive (only classes with a tube); $oxygen (above only while fio2 is set over 21); $first, $last
with paired as (
  select
    h.transport_id, h.value,
    least(h.at_us + h.hold_us, epoch_us(s.to_at)) - greatest(h.at_us, epoch_us(s.from_at)) as held_us,
    not $oxygen or coalesce(round(s.fio2, 9) > 21, false) as counts_above
  from held_readings($quantity, $first::date, $last::date, null, null) as h
  join support_settings as s
    on s.transport_id = h.transport_id and h.at_us < epoch_us(s.to_at) and h.at_us + h.hold_us > epoch_us(s.from_at)
  where (not $invasive or s.class = 'invasive')
    and ($first::date is null or h.month >= $first::date) and ($last::date is null or h.month <= $last::date)
), each_one as (
  select
    transport_id, sum(held_us) as held_us, coalesce(sum(held_us) filter (where value < $low), 0) as below_us,
    coalesce(sum(held_us) filter (where value > $high and counts_above), 0) as above_us
  from paired
  where held_us > 0
  group by transport_id
)
select
  count(*) as transports, coalesce(sum(held_us), 0) / 3.6e9 as hours, coalesce(sum(below_us), 0) / 3.6e9 as below,
  coalesce(sum(above_us), 0) / 3.6e9 as above, quantile_cont(100.0 * below_us / held_us, 0.5) as middle_below,
  quantile_cont(100.0 * above_us / held_us, 0.5) as middle_above
from each_one
