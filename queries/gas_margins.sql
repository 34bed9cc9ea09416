-- answers: how much gas did transports use for each minute that was planned, by vehicle and support at leaving?
-- grain: one row per vehicle and class, and of each with "all"; lists of L/min and of used over planned, sorted
-- parameters: $gas (oxygen or air); $first, $last (months, null: open)
with leaving as (
  select
    e.transport_id, arg_max(e.class, e.episode) filter (where e.from_at <= t.departed_referring_at) as at_leaving,
    arg_min(e.class, e.episode) as first_class
  from episodes as e
  join trips as t using (transport_id)
  group by e.transport_id
), members as (
  select
    t.vehicle, coalesce(l.at_leaving, l.first_class, 'not recorded') as class, b.used / b.planned_duration as per_minute,
    b.used / b.planned as of_plan
  from gas_bridges as b
  join trips as t using (transport_id)
  left join leaving as l using (transport_id)
  where b.gas = $gas and b.planned > 0 and b.planned_duration > 0 and b.used > 0
    and ($first::date is null or b.month >= $first::date)
    and ($last::date is null or b.month <= $last::date)
)
select
  coalesce(vehicle, 'all') as vehicle, coalesce(class, 'all') as class, list(per_minute order by per_minute) as per_minutes,
  list(of_plan order by of_plan) as of_plans
from members
group by grouping sets ((vehicle, class), (vehicle), (class), ())
having count(*) > 0
order by grouping(vehicle), vehicle, grouping(class), support_rank(class), class
