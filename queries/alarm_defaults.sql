-- answers: which alarm limit was the usual one, by month, device and condition?
-- grain: one row per month, device and condition whose limits are known; each transport counts once for each limit
-- parameters: $first, $last (months, null: open)
with seen as (
  select distinct month, coalesce(device_id, 'not recorded') as device, condition, transport_id,
    round(alarm_limit, 1) as value
  from alarm_details
  where alarm_limit is not null and month is not null
    and ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
), counted as (
  select month, device, condition, value, count(*) as transports
  from seen
  group by all
), of_all as (
  select month, device, condition, count(distinct transport_id) as known
  from seen
  group by all
)
select
  strftime(c.month, '%Y-%m') as month, c.device, c.condition, arg_max(c.value, (c.transports, -c.value)) as value,
  max(c.transports) as transports, any_value(a.known) as known
from counted as c
join of_all as a using (month, device, condition)
group by c.month, c.device, c.condition
order by c.condition, c.device, c.month
