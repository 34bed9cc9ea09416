-- answers: which transports are in the cohort?
-- grain: one row per transport of the cohort
-- parameters: $places (numbers, from 1, of its transports in order of their keys, with commas between)
insert into chosen
select transport_id
from (select transport_id, row_number() over (order by transport_id) as place from research)
where place in (select unnest(string_split($places, ','))::bigint where $places <> '')
