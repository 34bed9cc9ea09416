-- answers: what do the bridges of many transports add up to, by month, ventilator, both, and cylinder?
-- grain: one row per kind of group and group; litres, minutes. Sums of squares and products are of unexplained L and minutes
-- parameters: $gas; $first, $last (months, null: open)
with parts as (
  select
    b.transport_id, b.month, b.device, s.cylinder, s.squared_error, coalesce(s.share, 1) as share,
    b.used * share as used, b.gauge_error, b.minutes * share as minutes, b.hindsight * share as hindsight,
    b.unexplained * share as unexplained, b.used > 0 and b.settings_effect is not null as drawn,
    b.planned * share as planned, b.duration_effect * share as duration_effect, b.settings_effect * share as settings_effect
  from gas_bridges as b
  join gas_shares as s on s.transport_id = b.transport_id and s.gas = b.gas
  where b.gas = $gas and b.unexplained is not null and round(b.minutes, 9) > 0
    and ($first::date is null or b.month >= $first::date)
    and ($last::date is null or b.month <= $last::date)
), members as (
  select
    unnest([
      {'kind': 'all', 'month': null, 'name': ''}, {'kind': 'month', 'month': month, 'name': ''},
      {'kind': 'device', 'month': null, 'name': device}, {'kind': 'device and month', 'month': month, 'name': device},
      {'kind': 'cylinder', 'month': null, 'name': cylinder}
    ]) as grouped, *
  from parts
), transports as (
  select
    grouped, transport_id, sum(unexplained) as u, sum(minutes) as t, sum(squared_error) as e2, bool_and(drawn) as drawn,
    sum(used) as used, sum(hindsight) as hindsight, sum(planned) as planned, sum(duration_effect) as duration_effect,
    sum(settings_effect) as settings_effect
  from members
  group by grouped, transport_id
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
