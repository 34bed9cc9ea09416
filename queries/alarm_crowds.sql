-- answers: when did each alarm flood begin and end, and how many alarms fell into it?
-- grain: one row per flood of a completed transport, in order of time
-- parameters: $first, $last (months, null: open)
with asked as (
  select o.*, t.month, t.departed_referring_at
  from onsets as o
  join trips as t using (transport_id)
  where ($first::date is null or t.month >= $first::date) and ($last::date is null or t.month <= $last::date)
), spaced as (
  select
    transport_id, month, departed_referring_at, started_at, nearby, file_id, record_no,
    lag(started_at, (setting_flood_end() - 1)::bigint) over in_order
      + to_microseconds((setting_flood_window() * 6e7)::bigint) as lasts_to,
    lead(started_at) over in_order as next_at
  from asked
  window in_order as (partition by transport_id order by started_at, file_id, record_no)
), cut as (
  select
    *, count_if(coalesce(next_at > lasts_to, true)) over (
      partition by transport_id order by started_at, file_id, record_no rows between unbounded preceding and 1 preceding
    ) as stretch
  from spaced
), crowded as (
  select
    *, min(if(nearby >= setting_flood_onsets(), started_at, null)) over (partition by transport_id, stretch) as from_at
  from cut
)
select
  c.transport_id, strftime(c.month, '%Y-%m') as month, c.from_at,
  (epoch_us(max(c.lasts_to)) - epoch_us(c.from_at)) / 6e7 as minutes,
  arg_min(c.nearby, c.started_at) filter (where c.started_at >= c.from_at) + count_if(c.started_at > c.from_at) as onsets,
  minutes_between(c.departed_referring_at, c.from_at) as after_leaving
from crowded as c
where c.from_at is not null
group by c.transport_id, c.month, c.stretch, c.from_at, c.departed_referring_at
order by c.from_at, c.transport_id
