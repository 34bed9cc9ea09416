-- answers: what is known of each transport, as far as a study asks?
-- grain: one row per current transport, in order of its key; followed is minutes from the begin of support to escalation or end
-- parameters: 1 the columns, made from ResearchColumns; $first, $last (months, null: open)
select
  coalesce(r.patient_key, '') as patient_key,
  coalesce(($first::date is null or r.month >= strftime($first::date, '%%Y-%%m'))
    and ($last::date is null or r.month <= strftime($last::date, '%%Y-%%m')), $first is null and $last is null) as in_period,
  minutes_between(c.begun_at, coalesce(c.escalated_at, c.ended_at)) as followed,
%s
from research as r
left join support_summary as c using (transport_id)
order by r.transport_id
