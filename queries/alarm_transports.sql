-- answers: which transports had most alarm onsets?
-- grain: one row per transport with an onset, most onsets first
-- parameters: $first, $last (months, null: open); $most (rows)
with watched as (
  select transport_id, sum(hours) as hours from monitored group by transport_id
), kinds as (
  select transport_id, condition, count(*) as onsets
  from alarm_details
  where ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
  group by all
)
select
  k.transport_id, sum(k.onsets)::bigint as onsets, any_value(w.hours) as hours,
  arg_max(k.condition, (k.onsets, k.condition)) as leading, max(k.onsets) as of_these
from kinds as k
join watched as w using (transport_id)
group by k.transport_id
order by onsets desc, k.transport_id
limit $most
