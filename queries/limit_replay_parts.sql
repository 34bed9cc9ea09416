-- answers: into which ranges of transports do the readings of a quantity fall, so that a range has little more than so many rows?
-- grain: one row per range, in order of transport id
-- parameters: $quantity; $most (rows)
with counted as (
  select trip, count(*) as readings from kept.readings where quantity = $quantity and trip is not null group by trip
), placed as (
  select trip, (sum(readings) over (order by trip) - readings)::bigint // $most as part from counted
)
select min(trip) as from_id, max(trip) as to_id from placed group by part order by part
