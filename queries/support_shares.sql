-- answers: for how long was a quantity read, below and above a range, on each transport while support was given?
-- grain: fills a temporary table; one row per transport of a range of ids; above counts only with added oxygen where that is asked
-- parameters: $quantity; $low, $high; $invasive (only classes with a tube); $oxygen (above only while fio2 is set over 21); $first, $last, $from_id, $to_id (null: open)
insert into support_shares
with paired as (
  select
    h.transport_id, h.value,
    least(h.at_us + h.hold_us, epoch_us(s.to_at)) - greatest(h.at_us, epoch_us(s.from_at)) as held_us,
    not $oxygen or coalesce(round(s.fio2, 9) > 21, false) as counts_above
  from held_readings($quantity, $first::date, $last::date, $from_id::varchar, $to_id::varchar) as h
  join support_settings as s
    on s.transport_id = h.transport_id and h.at_us < epoch_us(s.to_at) and h.at_us + h.hold_us > epoch_us(s.from_at)
  where (not $invasive or s.class = 'invasive')
)
select
  transport_id, sum(held_us) as held_us, coalesce(sum(held_us) filter (where value < $low), 0) as below_us,
  coalesce(sum(held_us) filter (where value > $high and counts_above), 0) as above_us
from paired
where held_us > 0
group by transport_id
