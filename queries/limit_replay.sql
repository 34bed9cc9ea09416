-- answers: how many onsets would each limit of a grid have given, without a delay?
-- grain: one row per limit of the grid, from one pass over the readings: each step crosses the limits between its two values
-- parameters: $quantity; $sign (1: high limits, -1: low); $lowest, $step, $steps (the grid); $first, $last (months), $from_id, $to_id (transports): null: open
with crossed as materialized (
  select
    transport_id,
    if(place > coalesce(place_before, -1e18), greatest(ceil(place_before), if($sign > 0, 0, 1 - $steps)), null) as from_step,
    if(place > coalesce(place_before, -1e18), least(ceil(place), if($sign > 0, $steps, 1)), null) as to_step,
    count(*) as crossings, sum(hold_us) as hold_us, bool_or(tied) as tied
  from (
    select
      *, round($sign * (value - $lowest) / $step, 9) as place, round($sign * (before - $lowest) / $step, 9) as place_before
    from held_readings($quantity, $first::date, $last::date, $from_id::varchar, $to_id::varchar)
  )
  group by all
), grid as (
  select unnest(range($steps::bigint)) as step
), whole as (
  select count(distinct transport_id) as population, sum(hold_us) / 3.6e9 as hours, bool_or(tied) as tied from crossed
)
select
  round($lowest + g.step * $step, 9) as alarm_limit, coalesce(sum(c.crossings), 0)::bigint as onsets,
  count(distinct c.transport_id) as transports, any_value(w.population) as population,
  coalesce(any_value(w.hours), 0) as hours, coalesce(any_value(w.tied), false) as tied
from grid as g
cross join whole as w
left join crossed as c on $sign * g.step >= c.from_step and $sign * g.step < c.to_step
group by g.step
order by g.step
