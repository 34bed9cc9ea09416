-- answers: which episodes of support had each released transport?
-- grain: one row per episode; minutes count from the beginning of under way
-- parameters: none
select
  d.code as transport, e.episode::bigint as episode, e.class, minutes_between(t.under_way_from, e.from_at) as from_minute,
  e.minutes, e.invasive_tube as tube
from disclosed as d
join trips as t using (transport_id)
join episodes as e using (transport_id)
order by d.code, e.episode
