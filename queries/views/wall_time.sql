-- answers: when was a transport's gas taken from the wall while under way?
-- grain: one row per wall row that adds time, cut so that no moment stands in two rows; open_end marks an unknown end
-- parameters: none
create or replace temp table wall_time as
with bounded as (
  select
    t.transport_id, c.gas, c.file_id, c.record_no,
    greatest(coalesce(c.opened_at, t.under_way_from), t.under_way_from) as opened_at,
    least(coalesce(c.closed_at, t.departed_referring_at), t.under_way_to) as closed_at,
    c.closed_at is null and t.departed_referring_at is null as open_end
  from kept.cylinders as c
  join trips as t using (transport_id)
  where c.supply = 'wall' and t.under_way_from is not null
), covered as (
  select
    *,
    max(closed_at) over (
      partition by transport_id, gas order by opened_at, file_id, record_no
      rows between unbounded preceding and 1 preceding
    ) as covered_to
  from bounded
)
select transport_id, gas, open_end, greatest(opened_at, coalesce(covered_to, opened_at)) as from_at, closed_at as to_at
from covered
where open_end or closed_at > greatest(opened_at, coalesce(covered_to, opened_at))
