-- answers: does a measure judge each transport?
-- grain: one row per current transport, in order of its key
-- parameters: $measure
select t.transport_id in (select f.transport_id from facts as f where f.measure = $measure::fact_measure and f.left_out is null) as member
from trips as t
order by t.transport_id
