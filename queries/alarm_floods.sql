-- answers: did a transport have an alarm flood?
-- grain: one fact per completed transport with monitored time
-- parameters: none
with members as (
  select transport_id from monitored group by transport_id having sum(hours) > 0
), crowded as (
  select transport_id, max(nearby) as nearby from onsets group by transport_id
)
select
  'alarm_flood' as measure, transport_id, null as device, null as month,
  coalesce(nearby >= setting_flood_onsets(), false)::int as x, 1 as t, null as left_out
from members
left join crowded using (transport_id)
