-- answers: which readings lie beyond the least strict of some limits, how long did each hold, and what was before?
-- grain: a temporary table; one row per reading beyond the limit
-- parameters: $quantity; $sign (1: high limits, -1: low); $loosest (a limit); $first, $last (months), $from_id, $to_id (transports): null: open
create or replace temp table replay_held as
select transport_id, device_id, at_us, hold_us, $sign * value as value, $sign * before as before, tied
from held_readings($quantity, $first::date, $last::date, $from_id::varchar, $to_id::varchar)
where $sign * value > $sign * $loosest
