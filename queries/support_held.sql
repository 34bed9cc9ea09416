-- answers: how long were readings how far from what was set, or below and above their range, on each transport while support was given?
-- grain: fills a temporary table; one row per quantity, transport of a range of ids, and distance: measured minus set of pip, peep and rate; of the others -1 below, 1 above, 0 in the range
-- parameters: $first, $last (months), $from_id, $to_id (transports): null: open
insert into support_held
with taken as (
  select
    t.rowid as trip_no, r.device_id, epoch_us(r.recorded_at) as at_us, r.file_id, r.record_no, r.pip, r.peep, r.rate, r.spo2,
    if(t.weight > 0, r.expired_tidal_volume / per_weight('expired_tidal_volume', t.weight), null) as volume
  from reading_rows as r
  join trips as t on t.transport_id = r.trip
  where t.completed and t.transport_id in (select transport_id from support_settings) and r.recorded_at between t.wide_from and t.wide_to
    and ($first::date is null or t.month >= $first::date) and ($last::date is null or t.month <= $last::date)
    and ($from_id::varchar is null or r.trip >= $from_id) and ($to_id::varchar is null or r.trip <= $to_id)
    and coalesce(r.pip, r.peep, r.rate, r.spo2, volume) is not null
), ordered as (
  select
    * exclude (file_id, record_no),
    lead(if(pip is null, null, at_us) ignore nulls) over in_order as pip_next,
    lead(if(peep is null, null, at_us) ignore nulls) over in_order as peep_next,
    lead(if(rate is null, null, at_us) ignore nulls) over in_order as rate_next,
    lead(if(spo2 is null, null, at_us) ignore nulls) over in_order as spo2_next,
    lead(if(volume is null, null, at_us) ignore nulls) over in_order as volume_next,
    at_us + (setting_reading_holds() * 6e7)::bigint as until_us
  from taken
  window in_order as (partition by trip_no, device_id order by at_us, file_id, record_no)
), paired as materialized (
  select
    o.* exclude (device_id, at_us, until_us),
    greatest(o.at_us, epoch_us(s.from_at)) as from_us, least(o.until_us, epoch_us(s.to_at)) as to_us,
    o.device_id = s.ventilator_id or s.ventilator_id is null or o.device_id is null as by_ventilator,
    s.pip as pip_set, s.peep as peep_set, s.rate as rate_set, s.class = 'invasive' as invasive,
    coalesce(round(s.fio2, 9) > 21, false) as with_oxygen
  from ordered as o
  join (select t.rowid as trip_no, s.* from support_settings as s join trips as t using (transport_id)) as s
    on s.trip_no = o.trip_no and o.at_us < epoch_us(s.to_at) and o.until_us > epoch_us(s.from_at)
), held as (
  select trip_no, 'pip' as quantity, round(pip - pip_set, 9) as apart, least(to_us, coalesce(pip_next, to_us)) - from_us as held_us
  from paired where by_ventilator
  union all
  select trip_no, 'peep', round(peep - peep_set, 9), least(to_us, coalesce(peep_next, to_us)) - from_us from paired where by_ventilator
  union all
  select trip_no, 'rate', round(rate - rate_set, 9), least(to_us, coalesce(rate_next, to_us)) - from_us from paired where by_ventilator
  union all
  select trip_no, 'spo2', beyond(spo2, setting_spo2_low(), if(with_oxygen, setting_spo2_high(), null)), least(to_us, coalesce(spo2_next, to_us)) - from_us from paired
  union all
  select trip_no, 'expired_tidal_volume', beyond(volume, setting_tidal_volume_low(), setting_tidal_volume_high()), least(to_us, coalesce(volume_next, to_us)) - from_us from paired where invasive
)
select h.quantity, t.transport_id, t.month, h.apart, h.pairs, h.held_us
from (select quantity, trip_no, apart, count(*) as pairs, sum(held_us) as held_us from held where apart is not null and held_us > 0 group by all) as h
join trips as t on t.rowid = h.trip_no
