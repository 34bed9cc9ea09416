-- answers: which events count in no measure of their kind, and why?
-- grain: one row per kind and reason
-- parameters: none
with judged as (
  select
    e.kind,
    case
      when t.transport_id is null then 'names a transport not yet known'
      when not t.went_out then 'transport did not go out'
      when not t.completed and e.kind not in ('patient_injury', 'crew_injury') then 'transport not completed'
      when e.kind = 'unplanned_extubation' and s.transport_id is null then 'no tube recorded'
    end as reason
  from care_events as e
  left join trips as t using (transport_id)
  left join (select transport_id from supported where invasive_tube and not unplaced) as s using (transport_id)
)
select kind, reason, count(*) as events
from judged
where reason is not null
group by all
order by all
