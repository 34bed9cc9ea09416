-- answers: how ill was the patient when the team came and when it handed over, and did the patient live?
-- grain: one row per kind of completed transport with a month, alike in all that is asked; a score is null where its reason for missing is filled
-- parameters: $first, $last (months, null: open)
select
  strftime(t.month, '%Y-%m') as month, t.gestation_band,
  a.score as referring, if(a.score is null, coalesce(a.missing, 'no assessment'), '') as referring_missing,
  b.score as receiving, if(b.score is null, coalesce(b.missing, 'no assessment'), '') as receiving_missing,
  t.died_within_7_days, count(*) as transports
from trips as t
left join risk_scores as a on a.transport_id = t.transport_id and a.stage = 'referring_arrival'
left join risk_scores as b on b.transport_id = t.transport_id and b.stage = 'receiving_arrival'
where t.completed
  and t.month is not null
  and ($first::date is null or t.month >= $first::date)
  and ($last::date is null or t.month <= $last::date)
group by all
order by all
