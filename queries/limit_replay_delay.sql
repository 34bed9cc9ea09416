-- answers: how many onsets would one limit with a delay have given, and how many of these would another not have caught?
-- grain: one row
-- parameters: $quantity; $sign (1: high limits, -1: low); $asked, $other (limits); $delay (s); $first, $last (months)
with beyond as (
  select
    transport_id, device_id, at_us, hold_us, $sign * value > $sign * $other as further,
    before is null or $sign * before <= $sign * $asked as begins,
    $sign * value > $sign * $other and (before is null or $sign * before <= $sign * $other) as further_begins
  from held_readings($quantity)
  where $sign * value > $sign * $asked
    and ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
), numbered as (
  select
    transport_id, device_id, hold_us, further, count_if(begins) over so_far as excursion,
    count_if(further_begins) over so_far as deeper
  from beyond
  window so_far as (partition by transport_id, device_id order by at_us)
), pieces as (
  select
    transport_id, device_id, excursion, sum(hold_us) as held_us, sum(hold_us) filter (where further) as further_us
  from numbered
  group by transport_id, device_id, excursion, deeper
), excursions as (
  select transport_id, sum(held_us) >= $delay * 1e6 as alarms, coalesce(max(further_us) >= $delay * 1e6, false) as other_alarms
  from pieces
  group by transport_id, device_id, excursion
)
select
  count_if(alarms) as onsets, count(distinct transport_id) filter (where alarms) as transports,
  count_if(alarms and not other_alarms) as alone,
  count(distinct transport_id) filter (where alarms and not other_alarms) as alone_transports
from excursions
