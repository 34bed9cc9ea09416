-- answers: which transports must the committee read, and why?
-- grain: one row per transport and reason (a measure's id)
-- parameters: $first, $last (months, null: open); $measures (comma-separated ids whose facts above 0 are reasons)
with reasons as (
  select f.transport_id, f.measure as reason
  from facts as f
  where f.left_out is null and f.x > 0 and f.transport_id is not null
    and f.measure in (select try_cast(unnest(string_split($measures, ',')) as fact_measure))
  union
  select transport_id, unnest(list_filter([
    if(serious, 'serious_events', null),
    if(kind in ('unplanned_extubation', 'cardiac_arrest'), kind, null)
  ], lambda r: r is not null))
  from care_events
)
select t.transport_id, strftime(t.month, '%Y-%m') as month, r.reason
from reasons as r
join trips as t using (transport_id)
where t.month is not null
  and ($first::date is null or t.month >= $first::date)
  and ($last::date is null or t.month <= $last::date)
order by t.placed_at, t.transport_id, r.reason
