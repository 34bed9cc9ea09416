-- answers: what was the patient's TRIPS (Lee 2001) on arrival of the team, and on arrival at the receiving hospital?
-- grain: one row per transport and stage with an assessment: the last one; score is null where a part is missing
-- parameters: none
create or replace temp table risk_scores as
with latest as (
  select
    transport_id, stage, respiratory_status, response, round(systolic_pressure, 9) as systolic,
    round(round(temperature * 10, 8)) as tenths
  from assessed
  where stage in ('referring_arrival', 'receiving_arrival')
), pointed as (
  select
    transport_id, stage,
    case
      when tenths < 361 or tenths > 376 then 8
      when tenths between 366 and 371 then 0
      when tenths is not null then 1
    end as temperature_points,
    case respiratory_status when 'severe' then 14 when 'moderate' then 5 when 'none' then 0 end as respiratory_points,
    case when systolic < 20 then 26 when systolic <= 40 then 16 when systolic is not null then 0 end as systolic_points,
    case response when 'none' then 17 when 'lethargic' then 6 when 'vigorous' then 0 end as response_points
  from latest
), listed as (
  select
    *,
    list_filter([
      if(temperature_points is null, 'temperature', null), if(respiratory_points is null, 'respiratory_status', null),
      if(systolic_points is null, 'systolic_pressure', null), if(response_points is null, 'response', null)
    ], lambda part: part is not null) as absent
  from pointed
)
select
  transport_id, stage, temperature_points, respiratory_points, systolic_points, response_points,
  temperature_points + respiratory_points + systolic_points + response_points as score,
  case len(absent) when 0 then null when 1 then absent[1] || ' not recorded' else 'several parts not recorded' end as missing
from listed
