-- answers: which cylinder rows should a reader of the gas measures doubt, and what became of them?
-- grain: one row per gas and reason
-- parameters: none
with doubted as (
  select
    c.gas, c.transport_id, unnest(list_filter([
      if(m.left_out is null and m.end_litres > m.start_litres, 'holds more at the end than at the start: counted as negative use', null),
      if(m.left_out is not null, m.left_out || ': its transport is left out of this gas', null),
      if(c.closed_at < c.opened_at, 'closed before it was opened: its times count for nothing', null),
      if(c.opened_at > t.under_way_to or c.closed_at < t.under_way_from, 'open outside the time under way only', null),
      if(c.gas = 'nitric_oxide' and m.transport_id is not null and c.concentration is null, 'concentration not recorded: nitric oxide asked for is unknown', null),
      if(setting_temperature_correction() = 1 and (c.start_temperature is null) <> (c.end_temperature is null),
        'one temperature of two: not corrected for temperature', null),
      if(t.transport_id is null, 'names a transport not yet known', null)
    ], lambda r: r is not null)) as reason
  from kept.cylinders as c
  left join cylinder_contents as m using (file_id, record_no)
  left join trips as t on t.transport_id = c.transport_id
)
select gas, reason, count(*) as cylinders, count(distinct transport_id) as transports
from doubted
group by gas, reason
order by gas, reason
