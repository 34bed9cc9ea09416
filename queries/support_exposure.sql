-- answers: how much inspired oxygen and nitric oxide was set while under way?
-- grain: one row; means over the time set
-- parameters: $first, $last (months, null: open)
select
  count(distinct transport_id) filter (where fio2 is not null) as transports,
  coalesce(sum(held_us) filter (where fio2 is not null), 0) / 3.6e9 as hours,
  sum(fio2 * held_us) / sum(held_us) filter (where fio2 is not null) as mean_fio2,
  count(distinct transport_id) filter (where nitric_oxide > 0) as nitric_transports,
  coalesce(sum(held_us) filter (where nitric_oxide > 0), 0) / 3.6e9 as nitric_hours,
  sum(nitric_oxide * held_us) filter (where nitric_oxide > 0) / sum(held_us) filter (where nitric_oxide > 0) as mean_nitric
from support_settings
where ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
