-- answers: into which ranges of transports do the readings of some quantities fall, so that a range has little more than so many rows?
-- grain: one row per range, in order of transport id; rows of many quantities count once, and whichever they hold
-- parameters: $quantities (comma-separated); $supported (only transports with settings of support); $first, $last (months, null: open); $most (rows)
with counted as (
  select r.trip, sum(r.row_count) as readings
  from reading_counts as r
  where (r.quantity is null or r.quantity in (select unnest(string_split($quantities, ',')))) and r.trip in (
    select transport_id
    from trips
    where completed and ($first::date is null or month >= $first::date) and ($last::date is null or month <= $last::date)
      and (not $supported or transport_id in (select transport_id from support_settings))
  )
  group by r.trip
), placed as (
  select trip, (sum(readings) over (order by trip) - readings)::bigint // $most as part from counted
)
select min(trip) as from_id, max(trip) as to_id from placed group by part order by part
