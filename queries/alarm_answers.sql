-- answers: how long did alarms go unanswered, which limits stood, and how far beyond them were the values?
-- grain: one row per condition, the most frequent first; seconds; limits of volumes per kg
-- parameters: $first, $last (months, null: open)
select
  condition, count(*) as onsets, count(silenced_after) as silenced, quantile_cont(silenced_after, 0.5) as to_silence,
  max(unanswered) as longest, arg_max(transport_id, (unanswered, transport_id)) filter (where unanswered is not null) as longest_on,
  count(alarm_limit) as with_limit, mode(round(alarm_limit, 1) order by round(alarm_limit, 1)) as usual_limit,
  quantile_cont(alarm_limit, 0.5) as middle_limit,
  quantile_cont(beyond, 0.5) filter (where beyond > 0) as beyond, quantile_cont(beyond, 0.9) filter (where beyond > 0) as far_beyond
from alarm_details
where ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
group by condition
order by onsets desc, condition
