-- answers: on which transports did one condition alarm most?
-- grain: one row per transport with an onset of the condition, most onsets first
-- parameters: $condition; $first, $last (months, null: open); $most (rows)
select
  transport_id, strftime(any_value(month), '%Y-%m') as month, count(*) as onsets,
  count_if(coalesce(priority = 'high', false)) as high, count_if(is_repeat) as repeats
from alarm_details
where condition = $condition and month is not null
  and ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
group by transport_id
order by onsets desc, transport_id
limit $most
