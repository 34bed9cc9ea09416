-- answers: how were batteries used, by month, ventilator and both?
-- grain: one row per kind of group and group; minutes; shares are of the rated endurance, of transports with a rating
-- parameters: $first, $last (months, null: open)
with warned as (
  select t.transport_id, count(*) as low_alarms
  from kept.alarms as a
  join trips as t on t.transport_id = a.trip and t.ventilator_id = a.device_id
  where a.condition = 'battery_low' and a.started_at between t.under_way_from and t.under_way_to
  group by t.transport_id
), members as (
  select b.*, coalesce(w.low_alarms, 0) as low_alarms, round(b.share, 9) > setting_battery_share() as overdrawn
  from battery_drawn as b
  left join warned as w using (transport_id)
  where b.left_out is null
    and ($first::date is null or b.month >= $first::date)
    and ($last::date is null or b.month <= $last::date)
)
select
  case
    when grouping(month) = 0 and grouping(device) = 0 then 'device and month'
    when grouping(month) = 0 then 'month'
    when grouping(device) = 0 then 'device'
    else 'all'
  end as kind, coalesce(strftime(month, '%Y-%m'), '') as month, coalesce(device, '') as name,
  count(*) as transports, sum_in_order(lit, transport_id) as lit, sum_in_order(dim, transport_id) as dim,
  count_if(dim > 0) as dimmed_transports, count(share) as rated, coalesce(count_if(overdrawn), 0) as overdrawn,
  coalesce(quantile_cont(share, 0.5), 0) as median_share, coalesce(max(share), 0) as highest_share,
  sum(low_alarms)::bigint as low_alarms
from members
group by grouping sets ((), (month), (device), (month, device))
having count(*) > 0 and (grouping(month) = 1 or month is not null)
order by kind, month, name
