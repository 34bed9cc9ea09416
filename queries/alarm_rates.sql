-- answers: how many alarms were there, how many repeats, and how long did they sound?
-- grain: one fact per measure and transport of the population, summed over its devices; hours where time is counted
-- parameters: none
with counted as (
  select
    transport_id, count(*) as begun, count_if(coalesce(priority = 'high', false)) as high, count_if(is_repeat) as repeats
  from onsets
  group by transport_id
), sounded as (
  select transport_id, sum_in_order(hours, device_id) as hours from alarming group by transport_id
), watched as (
  select transport_id, sum_in_order(hours, device_id) as hours from monitored group by transport_id having sum(hours) > 0
), members as (
  select
    w.transport_id, w.hours, coalesce(c.begun, 0) as begun, coalesce(c.high, 0) as high,
    coalesce(c.repeats, 0) as repeats, coalesce(s.hours, 0) as sounding
  from watched as w
  left join counted as c using (transport_id)
  left join sounded as s using (transport_id)
), judged as (
  select transport_id, unnest([
    {'measure': 'alarms_per_hour', 'x': begun::double, 't': hours},
    {'measure': 'high_priority_alarms_per_hour', 'x': high::double, 't': hours},
    {'measure': 'repeat_alarms', 'x': repeats::double, 't': begun::double},
    {'measure': 'alarming_time', 'x': sounding, 't': hours}
  ]) as fact
  from members
)
select
  fact.measure as measure, transport_id, null as device, null as month, fact.x as x, fact.t as t, null as left_out
from judged
where fact.measure <> 'repeat_alarms' or fact.t > 0
