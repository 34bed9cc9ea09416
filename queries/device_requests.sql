-- answers: which requests wanted a device of a kind, from when to when did each hold it, and which were turned away for want of one?
-- grain: one row per request: accepted ones that took such a device, and all declined for no_equipment; times empty where not known
-- parameters: $kind (a kind of the register, or team: all requests); $team (null: all); $first, $last (months, null: open)
with took as (
  select transport_id from trips where ventilator_id is not null and $kind = 'ventilator'
  union
  select c.transport_id
  from kept.carried as c
  join device_service as d using (device_id)
  where d.kind = $kind
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
  turned_away, coalesce(delay_reason = 'no_equipment', false) as delayed
from asked
where (turned_away or (accepted and ($kind = 'team' or transport_id in (select transport_id from took))))
  and ($team::varchar is null or team = $team)
  and ($first::date is null or month >= $first::date)
  and ($last::date is null or month <= $last::date)
order by asked_at, called_at, transport_id
