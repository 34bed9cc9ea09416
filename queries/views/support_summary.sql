-- answers: how much support did a transport have in all, and when was it first escalated to invasive support?
-- grain: one row per transport with an episode; hours; escalated_at is empty where no later episode is invasive
-- parameters: none
create or replace temp table support_summary as
select
  transport_id, count(*) as episodes, min(from_at) as begun_at, max(to_at) as ended_at,
  min(if(invasive and episode > 1, from_at, null)) as escalated_at,
  arg_min(class, from_at) filter (where invasive and episode > 1) as to_class,
  arg_max(class, support_rank(class)) as highest_class,
  sum_in_order(minutes, episode) / 60 as supported_hours,
  sum_in_order(if(invasive, minutes, 0), episode) / 60 as invasive_hours,
  sum_in_order(if(class = 'high_frequency', minutes, 0), episode) / 60 as high_frequency_hours,
  sum_in_order(if(class in ('cpap', 'nippv'), minutes, 0), episode) / 60 as non_invasive_hours
from episodes
group by transport_id
