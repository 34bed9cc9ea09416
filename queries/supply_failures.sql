-- answers: how often did equipment, power or gas fail under way, by device and team?
-- grain: one row per kind of failure, device (of the event, else the ventilator) and team, of completed transports
-- parameters: $first, $last (months, null: open)
select e.kind, coalesce(e.device_id, t.device) as device, t.team, count(*) as failures
from care_events as e
join trips as t using (transport_id)
where e.kind in ('equipment_failure', 'power_failure', 'gas_supply_failure') and t.completed
  and ($first::date is null or t.month >= $first::date)
  and ($last::date is null or t.month <= $last::date)
group by all
order by all
