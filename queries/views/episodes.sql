-- answers: which episodes of support did a transport have?
-- grain: one row per episode; short stretches went to the one before or, for the first, to the one after
-- parameters: none
create or replace temp table episodes as
with anchored as (
  select
    *,
    coalesce(
      max(if(stays, stretch, null)) over (partition by transport_id order by stretch),
      min(if(stays, stretch, null)) over (partition by transport_id)
    ) as anchor
  from support_stretches
), gathered as (
  select
    transport_id, anchor, any_value(class) filter (where stays) as class, min(from_at) as from_at,
    max(to_at) as to_at, sum(held_us)::bigint as held_us, bool_or(tube) as tube
  from anchored
  group by transport_id, anchor
), marked as (
  select *, class is distinct from lag(class) over (partition by transport_id order by anchor) as starts
  from gathered
), numbered as (
  select *, count_if(starts) over (partition by transport_id order by anchor) as episode
  from marked
)
select
  transport_id, episode, any_value(class) as class, min(from_at) as from_at, max(to_at) as to_at,
  sum(held_us) / 6e7 as minutes,
  any_value(class) in ('invasive', 'high_frequency') as invasive,
  any_value(class) in ('invasive', 'high_frequency') and bool_or(tube) as invasive_tube
from numbered
group by transport_id, episode
