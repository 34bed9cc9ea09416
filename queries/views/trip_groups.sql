-- answers: in which month and in which group of each grouping does a transport count?
-- grain: one row per transport and grouping; the grouping '' holds every transport in one group
-- parameters: none
create or replace temp table trip_groups as
with named as (
  select
    transport_id, month, '' as everything, vehicle, team, urgency, referring_site, device, diagnosis,
    gestation_band, age_band
  from trips
)
select transport_id, month, if(grouping_name = 'everything', '', grouping_name) as by_what, grouped
from named
unpivot (
  grouped for grouping_name in
    (everything, vehicle, team, urgency, referring_site, device, diagnosis, gestation_band, age_band)
)
