-- answers: what happened on a transport, minute by minute: legs, support, settings, alarms, power, cylinders, events, readings?
-- grain: one row per thing that happened; minutes from the start of the trip window; readings as lowest and highest of a stretch
-- parameters: $transports (ids with a unit separator between)
with asked as (
  select *, (epoch_us(wide_to) - epoch_us(wide_from)) / 150 as stretch_us
  from trips
  where list_contains(string_split($transports, chr(31)), transport_id) and window_from is not null
), powered as (
  select *, lead(recorded_at) over (partition by transport_id order by recorded_at, file_id, record_no) as next_at
  from ventilator_power
), told as (
  select transport_id, 1 as lane, place as name, from_at, to_at, null::double as low, null::double as high
  from trip_legs
  union all
  select transport_id, 2, class, from_at, to_at, null, null from episodes
  union all
  select transport_id, 3, concat_ws(', ', mode, 'FiO2 ' || round(fio2)::int || ' %', 'PIP ' || round(pip)::int, 'PEEP ' || round(peep, 1),
    'rate ' || round(rate)::int, 'NO ' || round(nitric_oxide)::int || ' ppm'), from_at, to_at, null, null
  from support_settings
  union all
  select transport_id, 4, concat_ws('|', condition, priority), started_at, ended_at, alarm_limit, observed
  from alarm_details
  union all
  select transport_id, 5, source, recorded_at, coalesce(next_at, recorded_at), null, null from powered
  union all
  select transport_id, 6, gas, coalesce(opened_at, under_way_from), coalesce(closed_at, under_way_to), in_bar(end_pressure),
    in_bar(start_pressure)
  from kept.cylinders join asked using (transport_id)
  where supply is distinct from 'wall' and start_pressure is not null and end_pressure is not null
  union all
  select transport_id, 7, concat_ws('|', kind, harm), recorded_at, recorded_at, null, null from care_events
), read as (
  select r.trip as transport_id, r.quantity as name, floor((epoch_us(r.recorded_at) - epoch_us(a.wide_from)) / a.stretch_us) as stretch,
    min(r.recorded_at) as from_at, max(r.recorded_at) as to_at, min(r.value) as low, max(r.value) as high
  from kept.readings as r
  join asked as a on a.transport_id = r.trip
  where r.recorded_at between a.wide_from and a.wide_to
  group by all
)
select a.transport_id, t.lane, t.name, minutes_between(a.window_from, t.from_at) as from_minute,
  minutes_between(a.window_from, t.to_at) as to_minute, t.low, t.high
from asked as a
join (from told union all by name select transport_id, 8 as lane, name, from_at, to_at, low, high from read) as t using (transport_id)
where t.from_at is not null and t.to_at is not null
order by a.placed_at, a.transport_id, t.lane, if(t.lane = 8, t.name, ''), from_minute, to_minute, t.name, t.high desc, t.low desc
