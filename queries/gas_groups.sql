-- answers: what do the bridges of many transports add up to, by month, ventilator, both, and cylinder?
-- grain: one row per kind of group and group; litres, minutes. Sums of squares and products are of unexplained L and minutes
-- parameters: $gas; $first, $last (months, null: open)
with bridged as (
  select
    transport_id, month, device, used, minutes, hindsight, unexplained, planned, duration_effect, settings_effect,
    gauge_error ** 2 as squared_error, used > 0 and settings_effect is not null as drawn
  from gas_bridges
  where gas = $gas and unexplained is not null and round(minutes, 9) > 0
    and ($first::date is null or month >= $first::date)
    and ($last::date is null or month <= $last::date)
), members as (
  select
    unnest([
      {'kind': 'all', 'month': null, 'name': ''}, {'kind': 'month', 'month': month, 'name': ''},
      {'kind': 'device', 'month': null, 'name': device}, {'kind': 'device and month', 'month': month, 'name': device}
    ]) as grouped, 1 as share, *
  from bridged
  union all
  select {'kind': 'cylinder', 'month': null, 'name': s.cylinder}, s.share, b.* replace (s.squared_error as squared_error)
  from bridged as b
  join gas_shares as s on s.transport_id = b.transport_id and s.gas = $gas
), transports as (
  select
    grouped, transport_id, unexplained * share as u, minutes * share as t, squared_error as e2, drawn, used * share as used,
    hindsight * share as hindsight, planned * share as planned, duration_effect * share as duration_effect,
    settings_effect * share as settings_effect
  from members
), added as (
  select
    grouped, count(*) as transports, count_if(drawn) as planned_transports, count_if(round(u - sqrt(e2), 9) > 0) as beyond_gauge,
    list_sort(list({
      'transport_id': transport_id, 'u': u, 't': t, 'e2': e2, 'drawn': drawn, 'used': used, 'hindsight': hindsight,
      'planned': planned, 'duration_effect': duration_effect, 'settings_effect': settings_effect
    })) as each,
    list_filter(each, lambda p: p.drawn) as drawn
  from transports
  where grouped.kind not in ('month', 'device and month') or grouped.month is not null
  group by grouped
)
select
  grouped.kind, coalesce(strftime(grouped.month, '%Y-%m'), '') as month, grouped.name, transports,
  list_sum([p.used for p in each]) as used, list_sum([p.hindsight for p in each]) as hindsight,
  list_sum([p.t for p in each]) as minutes, list_sum([p.u for p in each]) as unexplained,
  list_sum([p.u * p.u for p in each]) as uu, list_sum([p.u * p.t for p in each]) as ut,
  list_sum([p.t * p.t for p in each]) as tt, list_sum([p.e2 for p in each]) as squared_error,
  beyond_gauge, planned_transports, coalesce(list_sum([p.planned for p in drawn]), 0) as planned,
  coalesce(list_sum([p.duration_effect for p in drawn]), 0) as duration_effect,
  coalesce(list_sum([p.settings_effect for p in drawn]), 0) as settings_effect,
  coalesce(list_sum([p.u for p in drawn]), 0) as planned_unexplained,
  coalesce(list_sum([p.used for p in drawn]), 0) as planned_used
from added
order by grouped.kind, month, grouped.name
