-- answers: how long did an alarm sound on each device of a transport?
-- grain: one row per transport and device with an onset; overlapping alarms count once, inside monitored time
-- parameters: none
create or replace temp table alarming as
with listed as (
  select
    o.transport_id, o.device_id, list_sort(list(epoch_us(o.started_at))) as starts,
    list_sort(list(epoch_us(least(o.ended_at, m.last_at)))) as ends
  from onsets as o
  join monitored as m on m.transport_id = o.transport_id and m.device_id is not distinct from o.device_id
  group by o.transport_id, o.device_id
)
-- where the next beginning comes after as many ends as there were beginnings, nothing sounded in between
select
  transport_id, device_id,
  (ends[-1] - starts[1] - coalesce(list_sum(list_transform(starts[2:], lambda s, i: greatest(0, s - ends[i]))), 0)) / 3.6e9 as hours
from listed
