-- answers: which requests wanted a device of a kind, from when to when did each hold it, and which were turned away for want of one?
-- grain: one row per request: accepted ones that took such a device, and all declined for no_equipment; times empty where not known
-- parameters: $kind (a kind of the register, or team: all requests); $team (null: all); $first, $last (months, null: open)
with units as (
  select transport_id, ventilator_id as device_id from trips where ventilator_id is not null and $kind = 'ventilator'
  union
  select c.transport_id, c.device_id
  from kept.carried as c
  join device_service as d using (device_id)
  where d.kind = $kind
), took as (
  select u.transport_id, bool_and(coalesce(h.team <> t.team and t.team <> 'not recorded', false)) as lent
  from units as u
  join trips as t using (transport_id)
  left join unit_homes as h using (device_id)
  group by u.transport_id
), asked as (
  select
    *, coalesce(accepted_at, called_at) as asked_at,
    disposition = 'declined' and coalesce(disposition_reason = 'no_equipment', false) as turned_away,
    completed or (disposition = 'cancelled' and (accepted_at is not null or departed_base_at is not null)) as accepted
  from trips
)
select
  transport_id, coalesce(strftime(month, '%Y-%m'), '') as month, asked_at,
  -- a span of more than 31 days is a mistyped date, as it is for linking
  case
    when not turned_away and available_at >= asked_at and available_at <= asked_at + interval 31 day
      then available_at + to_microseconds((setting_turnaround() * 6e7)::bigint)
  end as free_at,
  turned_away, coalesce(delay_reason = 'no_equipment', false) as delayed, not turned_away and coalesce(k.lent, false) as lent
from asked
left join took as k using (transport_id)
where (turned_away or (accepted and ($kind = 'team' or k.transport_id is not null)))
  and ($team::varchar is null or team = $team)
  and ($first::date is null or month >= $first::date)
  and ($last::date is null or month <= $last::date)
order by asked_at, called_at, transport_id
