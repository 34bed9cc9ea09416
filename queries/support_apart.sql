-- answers: how often, and for how long, was a measured quantity how far from the set one on each transport?
-- grain: fills a temporary table; one row per transport of a range of ids and difference (measured minus set)
-- parameters: $quantity (pip, peep or rate); $first, $last (months), $from_id, $to_id (transports): null: open
insert into support_apart
with paired as (
  select
    h.transport_id, round(h.value - case $quantity when 'pip' then s.pip when 'peep' then s.peep else s.rate end, 9) as apart,
    least(h.at_us + h.hold_us, epoch_us(s.to_at)) - greatest(h.at_us, epoch_us(s.from_at)) as held_us
  from held_readings($quantity, $first::date, $last::date, $from_id::varchar, $to_id::varchar) as h
  join support_settings as s
    on s.transport_id = h.transport_id and h.at_us < epoch_us(s.to_at) and h.at_us + h.hold_us > epoch_us(s.from_at)
  where (h.device_id = s.ventilator_id or s.ventilator_id is null or h.device_id is null)
)
select transport_id, apart, count(*) as pairs, sum(held_us) as held_us
from paired
where apart is not null and held_us > 0
group by transport_id, apart
