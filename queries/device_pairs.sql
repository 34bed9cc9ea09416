-- answers: which runs of the devices' logs may be those of which transports, and how far apart are their beginnings, ends and middles?
-- grain: a temporary table; one row per run of device_runs and transport within 14 hours of it, in minutes by which the log is ahead
-- parameters: none
create or replace temp table device_pairs as
with carriers as (
  select device_id, transport_id
  from kept.carried
  union
  select ventilator_id, transport_id
  from trips
  where ventilator_id is not null
), under_way as (
  select c.device_id, t.transport_id, t.under_way_from, t.under_way_to
  from trips as t
  join carriers as c using (transport_id)
  where t.went_out and t.under_way_from < t.under_way_to
), beside as (
  select d.log, d.device_id, d.run_from, d.run_to, t.transport_id, t.under_way_from, t.under_way_to
  from device_runs as d
  join trips as t using (transport_id)
  where t.went_out and t.under_way_from < t.under_way_to
  union all
  -- of a device's years only runs and transports whose middles lie in the same 14 hours, or in the next, can be a pair
  select d.log, d.device_id, d.run_from, d.run_to, u.transport_id, u.under_way_from, u.under_way_to
  from (
    select *, unnest([stretch - 1, stretch, stretch + 1]) as near
    from (select *, floor((epoch(run_from) + epoch(run_to)) / 2 / 3600 / 14) as stretch from device_runs where transport_id is null)
  ) as d
  join (select *, floor((epoch(under_way_from) + epoch(under_way_to)) / 2 / 3600 / 14) as stretch from under_way) as u
    on u.device_id = d.device_id and u.stretch = d.near
)
select
  log, device_id, transport_id, minutes_between(under_way_from, run_from) as late, minutes_between(under_way_to, run_to) as over,
  (late + over) / 2 as ahead
from beside
where abs(ahead) <= 14 * 60
