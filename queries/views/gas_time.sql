-- answers: how long did a transport live on carried gas?
-- grain: one row per transport with a time under way, and gas; minutes empty where left_out says why
-- parameters: none
create or replace temp table gas_time as
with walls as (
  select
    transport_id, gas, bool_or(open_end) as open_end,
    sum(if(open_end, 0, epoch_us(to_at) - epoch_us(from_at)))::bigint as wall_us
  from wall_time
  group by transport_id, gas
)
select
  t.transport_id, g.gas,
  if(coalesce(w.open_end, false), null,
    (epoch_us(t.under_way_to) - epoch_us(t.under_way_from) - coalesce(w.wall_us, 0)) / 6e7) as minutes,
  if(coalesce(w.open_end, false), 'end of wall supply unknown', null) as left_out
from trips as t
cross join (values ('oxygen'), ('air'), ('nitric_oxide')) as g(gas)
left join walls as w on w.transport_id = t.transport_id and w.gas = g.gas
where t.under_way_from is not null
