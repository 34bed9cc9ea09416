-- answers: which alarms did a transport have, by priority, and how many at once at most?
-- grain: one row per transport with an onset; crowd is the most onsets within the window of a flood
-- parameters: none
create or replace temp table alarm_summary as
select
  transport_id, count_if(coalesce(priority = 'high', false)) as high, count_if(coalesce(priority = 'medium', false)) as medium,
  count_if(coalesce(priority = 'low', false)) as low, count_if(priority is null) as unrated, max(nearby) as crowd
from onsets
group by transport_id
