-- answers: what support did each completed transport have, and can it be placed under way?
-- grain: one row per completed transport with an episode, or with settings that no time under way can place
-- parameters: none
create or replace temp table supported as
with recorded as (
  select
    transport_id, bool_or(class in ('invasive', 'high_frequency')) as invasive,
    coalesce(bool_or(class in ('invasive', 'high_frequency') and interface = 'tube'), false) as invasive_tube,
    bool_or(class in ('cpap', 'nippv')) as non_invasive
  from ventilator_settings
  where class not in ('none', 'unknown') and under_way_from is null
  group by transport_id
), placed as (
  select
    transport_id, count(*) as episodes, bool_or(invasive_tube) as invasive_tube,
    arg_min(class, episode) as first_class, arg_max(class, episode) as last_class,
    sum_in_order(if(invasive_tube, minutes, 0), episode) / 60 as tube_hours
  from episodes
  group by transport_id
)
select
  transport_id, p.episodes, p.first_class, p.last_class, p.tube_hours,
  p.transport_id is null as unplaced,
  coalesce(p.invasive_tube, r.invasive_tube) as invasive_tube,
  coalesce(p.first_class in ('cpap', 'nippv'), r.non_invasive) as first_non_invasive,
  coalesce(p.last_class in ('invasive', 'high_frequency'), r.invasive) as last_invasive
from trips as t
join (select transport_id from recorded union select transport_id from placed) as known using (transport_id)
left join placed as p using (transport_id)
left join recorded as r using (transport_id)
where t.completed
