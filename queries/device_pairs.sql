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
  select transport_id, under_way_from, under_way_to, floor((epoch(under_way_from) + epoch(under_way_to)) / 2 / 3600 / 14) as stretch
  from trips
  where went_out and under_way_from < under_way_to
), runs as (
  select *, floor((epoch(run_from) + epoch(run_to)) / 2 / 3600 / 14) as stretch from device_runs
), beside as (
  select r.log, r.device_id, r.run_from, r.run_to, u.transport_id, u.under_way_from, u.under_way_to
  from runs as r
  join under_way as u using (transport_id)
  union all
  -- of a device's years only runs and transports whose middles lie in the same 14 hours, or in the next, can be a pair
  select r.log, r.device_id, r.run_from, r.run_to, u.transport_id, u.under_way_from, u.under_way_to
  from (select *, unnest([stretch - 1, stretch, stretch + 1]) as near from runs where transport_id is null) as r
  join carriers as c using (device_id)
  join under_way as u on u.transport_id = c.transport_id and u.stretch = r.near
)
select
  log, device_id, transport_id, minutes_between(under_way_from, run_from) as late, minutes_between(under_way_to, run_to) as over,
  (late + over) / 2 as ahead
from beside
where abs(ahead) <= 14 * 60
