-- answers: when was a device out of service?
-- grain: one row per service row that adds time, cut so that no moment stands in two rows; an open end is the last moment known
-- parameters: none
create or replace temp table device_outages as
with bounded as (
  select device_id, removed_at, coalesce(returned_at, (select max(until_utc) from zone_changes)) as returned_at
  from kept.service
), covered as (
  select
    *,
    max(returned_at) over (
      partition by device_id order by removed_at, returned_at rows between unbounded preceding and 1 preceding
    ) as covered_to
  from bounded
)
select device_id, greatest(removed_at, coalesce(covered_to, removed_at)) as from_at, returned_at as to_at
from covered
where returned_at > greatest(removed_at, coalesce(covered_to, removed_at))
