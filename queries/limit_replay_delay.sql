-- answers: how many onsets would one limit have given with each delay, and how many of these would another not have caught?
-- grain: one row per delay, from the readings that limit_replay_held.sql took
-- parameters: $sign (1: high limits, -1: low); $asked, $other (limits); $delays (s, comma-separated)
with beyond as (
  select
    transport_id, device_id, at_us, hold_us, tied, value > $sign * $other as further,
    before is null or before <= $sign * $asked as begins,
    value > $sign * $other and (before is null or before <= $sign * $other) as further_begins
  from replay_held
  where value > $sign * $asked
), numbered as (
  select
    transport_id, device_id, hold_us, further, tied, count_if(begins) over so_far as excursion,
    count_if(further_begins) over so_far as deeper
  from beyond
  window so_far as (partition by transport_id, device_id order by at_us)
), pieces as (
  select
    transport_id, device_id, excursion, sum(hold_us) as held_us, sum(hold_us) filter (where further) as further_us,
    bool_or(tied) as tied
  from numbered
  group by transport_id, device_id, excursion, deeper
), excursions as (
  select transport_id, sum(held_us) as held_us, coalesce(max(further_us), -1) as further_us, bool_or(tied) as tied
  from pieces
  group by transport_id, device_id, excursion
), delays as (
  select unnest(string_split($delays, ','))::double * 1e6 as delay_us
)
select
  d.delay_us / 1e6 as delay, count(*) filter (where e.held_us >= d.delay_us) as onsets,
  count(distinct e.transport_id) filter (where e.held_us >= d.delay_us) as transports,
  count(*) filter (where e.held_us >= d.delay_us and e.further_us < d.delay_us) as alone,
  count(distinct e.transport_id) filter (where e.held_us >= d.delay_us and e.further_us < d.delay_us) as alone_transports,
  coalesce(bool_or(e.tied), false) as tied
from delays as d
left join excursions as e on true
group by d.delay_us
order by d.delay_us
