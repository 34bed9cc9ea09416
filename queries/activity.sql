-- answers: how many transports were asked for, by month, vehicle, urgency and disposition?
-- grain: one row per month, vehicle, urgency and disposition
-- parameters: $first, $last (months, null: open)
select strftime(month, '%Y-%m') as month, vehicle, urgency, disposition, count(*) as transports
from trips
where month is not null
  and ($first::date is null or month >= $first::date)
  and ($last::date is null or month <= $last::date)
group by all
order by all
