-- answers: how long did each device monitor each leg of a completed transport that has monitored time at all?
-- grain: one row per transport, device as recorded and leg, also of no time; in microseconds
-- parameters: none
create or replace temp table monitored_legs as
select
  m.transport_id, m.device_id, t.vehicle, t.month, l.leg,
  greatest(0, epoch_us(least(m.last_at, l.to_at)) - epoch_us(greatest(m.first_at, l.from_at))) as micros
from monitored as m
join trips as t using (transport_id)
join trip_legs as l using (transport_id)
where m.transport_id in (select transport_id from monitored group by transport_id having sum(hours) > 0)
