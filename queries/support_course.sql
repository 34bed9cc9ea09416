-- answers: which patients on non-invasive support came to invasive support, when and where, and which after hand-over?
-- grain: one row per completed transport whose first class under way is non-invasive, in order of time
-- parameters: $first, $last (months, null: open)
with members as (
  select
    s.transport_id, t.month, t.placed_at, s.first_class, f.to_class,
    minutes_between(f.begun_at, coalesce(f.escalated_at, f.ended_at)) as minutes,
    case
      when f.escalated_at is null then null
      when f.escalated_at < t.departed_referring_at then 'before leaving'
      when t.departed_referring_at is null then 'place not known'
      when f.escalated_at >= t.arrived_receiving_at then 'at hand-over'
      when t.arrived_receiving_at is null then 'place not known'
      else 'under way'
    end as place,
    round(t.intubated_after_handover, 9) as after_hours, t.intubated_after_for as after_for
  from supported as s
  join trips as t using (transport_id)
  join support_summary as f using (transport_id)
  where s.first_non_invasive and not s.unplaced
    and ($first::date is null or t.month >= $first::date) and ($last::date is null or t.month <= $last::date)
)
select
  transport_id, first_class, coalesce(to_class, '') as to_class, minutes, place is not null as escalated,
  case
    when place is not null then place
    when after_for = 'surgery' then 'for surgery'
    when after_hours <= 24 then 'within 24 h'
    when after_hours > 24 then 'later'
    when after_for is not null then 'time not known'
    else 'never'
  end as phase
from members
order by placed_at, transport_id
