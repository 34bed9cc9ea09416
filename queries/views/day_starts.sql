-- answers: when, in UTC, does a day of the team's zone begin?
-- grain: a macro; the first instant whose local time is not before midnight, also where the clocks change there
-- parameters: the day
create or replace temp macro day_starts(day) as (
  select min(greatest(day::timestamp - to_seconds(z.offset_seconds), z.from_utc))
  from zone_changes as z
  where day::timestamp - to_seconds(z.offset_seconds) < z.until_utc
)
