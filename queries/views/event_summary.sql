-- answers: which adverse events did a transport have, by kind and harm?
-- grain: one row per transport with an event; kinds and harms count events
-- parameters: none
create or replace temp table event_summary as
select
  transport_id, histogram(kind) as kinds, histogram(coalesce(harm, 'not recorded')) as harms,
  list_extract(['none', 'mild', 'moderate', 'severe', 'death'],
    max(list_position(['none', 'mild', 'moderate', 'severe', 'death'], harm))) as worst_harm
from care_events
group by transport_id
