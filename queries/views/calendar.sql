-- answers: from when to when, in UTC, does each month of the team's zone run?
-- grain: one row per month; the end is not included
-- parameters: none
create or replace temp table calendar as
with bounds as (
  select min(from_utc)::date as earliest, max(until_utc)::date as latest from zone_changes
), months as (
  select unnest(generate_series(earliest, latest, interval 1 month))::date as month from bounds
)
select m.month, day_starts(m.month) as from_utc, day_starts((m.month + interval 1 month)::date) as until_utc
from months as m
