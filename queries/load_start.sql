-- answers: from when on do the device rows that a load stored go?
-- grain: one row, empty where it stored none
-- parameters: $load
with of_load as (
  select file_id from ledger.files where load_id = $load
), log_moments as (
  select first_at as moment, file_id from kept.reading_quarters
  union all
  select recorded_at, file_id from kept.settings
  union all
  select recorded_at, file_id from kept.power
)
select min(moment) as first_moment from log_moments where file_id in (select file_id from of_load)
