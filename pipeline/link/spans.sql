-- answers: whose each piece of a device's time is: the window that holds it, else the nearest widened one, else nobody's
-- grain: one row per device and piece that has an owner
-- parameters: 1 the windows, 2 minutes of the longest window, 3 minutes of widening
with carriers as (
    select distinct c.device_id, w.*, unnest(range(epoch_us(wide_from) // 3600000000, epoch_us(wide_to) // 3600000000 + 1)) as hour
    from (%[1]s) w
    join (
        select transport_id, ventilator_id as device_id from kept.transports where not superseded
        union
        select transport_id, device_id from kept.carried
    ) c using (transport_id)
    join kept.transports t on t.transport_id = w.transport_id and not t.superseded
    where c.device_id is not null and coalesce(t.disposition, 'completed') in ('completed', 'cancelled')
        and window_from <= window_to and window_to - window_from <= to_minutes(%[2]d)
),
edges as (
    select device_id, unnest([wide_from, window_from, window_to + interval 1 microsecond, wide_to + interval 1 microsecond]) as edge
    from carriers
    union
    select a.device_id, make_timestamp((epoch_us(a.window_to) + epoch_us(b.window_from) + 1) // 2)
    from carriers a join carriers b on a.device_id = b.device_id and a.hour = b.hour
    where b.window_from > a.window_to and b.wide_from <= a.wide_to
),
pieces as (
    select device_id, edge as from_at, lead(edge) over (partition by device_id order by edge) as to_at, epoch_us(edge) // 3600000000 as hour
    from edges
)
select
    p.device_id, p.from_at, p.to_at,
    arg_min(c.transport_id, row(
        greatest(epoch_us(c.window_from) - epoch_us(p.from_at), epoch_us(p.from_at) - epoch_us(c.window_to), 0),
        -epoch_us(c.window_from), c.transport_id)) as transport_id
from pieces p
join carriers c on c.device_id = p.device_id and c.hour = p.hour and p.from_at between c.wide_from and c.wide_to
where p.to_at is not null
group by all
