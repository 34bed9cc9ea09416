-- answers: what alarmed, with which priority, how often and on how many transports?
-- grain: one row per condition and priority, the most frequent first
-- parameters: $first, $last (months, null: open)
select
  o.condition, coalesce(o.priority, 'not recorded') as priority, count(*) as onsets, count_if(o.is_repeat) as repeats,
  count(distinct o.transport_id) as transports,
  sum(epoch_us(o.ended_at) - epoch_us(o.started_at))::bigint / 6e7 as minutes
from onsets as o
join trips as t using (transport_id)
where ($first::date is null or t.month >= $first::date)
  and ($last::date is null or t.month <= $last::date)
group by o.condition, coalesce(o.priority, 'not recorded')
order by onsets desc, o.condition, priority
