-- answers: which alarms had each released transport, by condition and priority?
-- grain: one row per transport, condition and priority
-- parameters: none
select
  d.code as transport, o.condition, coalesce(o.priority, 'not recorded') as priority, count(*) as onsets,
  count_if(o.is_repeat)::bigint as repeats, sum(epoch_us(o.ended_at) - epoch_us(o.started_at))::bigint / 6e7 as minutes
from disclosed as d
join onsets as o using (transport_id)
group by d.code, o.condition, coalesce(o.priority, 'not recorded')
order by d.code, o.condition, coalesce(o.priority, 'not recorded')
