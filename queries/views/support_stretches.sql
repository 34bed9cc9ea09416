-- answers: in which stretches of one class of support was a transport, before short ones are passed over?
-- grain: one row per stretch; none and unknown are dropped, equal neighbours joined across them
-- parameters: none
create or replace temp table support_stretches as
with marked as (
  select
    *, class is distinct from lag(class) over (partition by transport_id order by from_at) as starts
  from settings_timeline
  where class not in ('none', 'unknown')
), numbered as (
  select *, count_if(starts) over (partition by transport_id order by from_at) as stretch
  from marked
), joined as (
  select
    transport_id, stretch, any_value(class) as class, min(from_at) as from_at, max(to_at) as to_at,
    sum(held_us)::bigint as held_us, coalesce(bool_or(interface = 'tube'), false) as tube
  from numbered
  group by transport_id, stretch
), judged as (
  select
    *, round(held_us / 6e7, 9) >= setting_episode_minimum() as lasting,
    row_number() over (partition by transport_id order by held_us desc, stretch) as by_length
  from joined
)
select
  * exclude (lasting, by_length),
  lasting or (by_length = 1 and not bool_or(lasting) over (partition by transport_id)) as stays
from judged
