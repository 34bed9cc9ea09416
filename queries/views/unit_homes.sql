-- answers: which team does each device mostly go out with?
-- grain: one row per device that a transport with a recorded team took: the team with most of them, the first by name of equals
-- parameters: none
create or replace temp table unit_homes as
with taken as (
  select ventilator_id as device_id, transport_id from trips where ventilator_id is not null
  union
  select device_id, transport_id from kept.carried
)
select u.device_id, t.team
from taken as u
join trips as t using (transport_id)
where t.team <> 'not recorded' and t.went_out
group by u.device_id, t.team
qualify row_number() over (partition by u.device_id order by count(*) desc, t.team) = 1
