-- answers: what is each current transport, when was it under way, in which month and groups does it count?
-- grain: one row per transport_id that is not superseded
-- parameters: none
create or replace temp table trips as
with bare as (
  select
    * exclude (disposition),
    coalesce(disposition, 'completed') as disposition,
    coalesce(urgency = 'planned', false) as planned,
    coalesce(accepted_at, called_at, departed_base_at) as placed_at,
    least(called_at, accepted_at, departed_base_at, arrived_referring_at, at_patient_at, departed_referring_at,
      arrived_receiving_at, handed_over_at, available_at) as first_stamp,
    coalesce(at_patient_at, arrived_referring_at) as care_from,
    coalesce(handed_over_at, arrived_receiving_at) as care_to,
    floor(round(gestation, 9)) as completed_weeks
  from kept.transports
  where not superseded
), dated as (
  select b.transport_id, case when b.placed_at < c.until_utc then c.month end as month
  from (select transport_id, placed_at from bare) as b -- what is put in order is no more than that
  asof left join calendar as c on b.placed_at >= c.from_utc
)
select
  b.* exclude (vehicle, team, urgency, referring_site, diagnosis),
  b.disposition = 'completed' as completed,
  b.disposition = 'completed' or (b.disposition = 'cancelled' and b.departed_base_at is not null) as went_out,
  not b.planned as not_planned,
  d.month,
  w.window_from, w.window_to, w.wide_from, w.wide_to,
  case when b.care_from <= b.care_to then b.care_from end as under_way_from,
  case when b.care_from <= b.care_to then b.care_to end as under_way_to,
  minutes_between(under_way_from, under_way_to) as care_minutes,
  coalesce(b.vehicle, 'not recorded') as vehicle,
  coalesce(b.team, 'not recorded') as team,
  coalesce(b.urgency, 'not recorded') as urgency,
  coalesce(b.referring_site, 'not recorded') as referring_site,
  coalesce(b.ventilator_id, 'not recorded') as device,
  coalesce(b.diagnosis, 'not recorded') as diagnosis,
  case
    when b.completed_weeks is null then 'not recorded'
    when b.completed_weeks < 28 then 'under 28'
    when b.completed_weeks < 32 then '28–31'
    when b.completed_weeks < 37 then '32–36'
    else '37 and more'
  end as gestation_band,
  case
    when b.age_at_call is null then 'not recorded'
    when b.age_at_call < 29 then 'neonatal'
    when b.age_at_call < 18 * 365.25 then 'paediatric'
    else '18 years and over'
  end as age_band
from bare as b
join windows as w using (transport_id)
left join dated as d using (transport_id)
