-- answers: which transports met the numerator of a measure?
-- grain: one row per transport
-- parameters: $measure; $first, $last (months, null: open)
select t.transport_id, strftime(t.month, '%Y-%m') as month, f.measure as reason
from facts as f
join trips as t using (transport_id)
where f.measure = $measure::fact_measure and f.left_out is null
  and t.month is not null
  and ($first::date is null or t.month >= $first::date)
  and ($last::date is null or t.month <= $last::date)
group by t.transport_id, t.month, t.placed_at, f.measure
having sum(f.x) > 0
order by t.placed_at, t.transport_id
