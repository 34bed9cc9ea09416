-- answers: which stamps of completed transports are missing or earlier than one that comes before them?
-- grain: one row per stamp, in order of the trip; none where no transport was completed
-- parameters: none
with reached as (
  select
    *,
    greatest(called_at, accepted_at) as under_way_by,
    greatest(under_way_by, departed_base_at) as out_by,
    greatest(out_by, arrived_referring_at) as there_by,
    greatest(there_by, at_patient_at) as with_patient_by,
    greatest(with_patient_by, departed_referring_at) as back_by,
    greatest(back_by, arrived_receiving_at) as received_by,
    greatest(received_by, handed_over_at) as over_by
  from trips
  where completed
), counted as (
  select count(*) as transports, [
    {'name': 'called_at', 'missing': count_if(called_at is null), 'out_of_order': 0},
    {'name': 'accepted_at', 'missing': count_if(accepted_at is null),
     'out_of_order': count(*) filter (where accepted_at < called_at)},
    {'name': 'departed_base_at', 'missing': count_if(departed_base_at is null),
     'out_of_order': count(*) filter (where departed_base_at < under_way_by)},
    {'name': 'arrived_referring_at', 'missing': count_if(arrived_referring_at is null),
     'out_of_order': count(*) filter (where arrived_referring_at < out_by)},
    {'name': 'at_patient_at', 'missing': count_if(at_patient_at is null),
     'out_of_order': count(*) filter (where at_patient_at < there_by)},
    {'name': 'departed_referring_at', 'missing': count_if(departed_referring_at is null),
     'out_of_order': count(*) filter (where departed_referring_at < with_patient_by)},
    {'name': 'arrived_receiving_at', 'missing': count_if(arrived_receiving_at is null),
     'out_of_order': count(*) filter (where arrived_receiving_at < back_by)},
    {'name': 'handed_over_at', 'missing': count_if(handed_over_at is null),
     'out_of_order': count(*) filter (where handed_over_at < received_by)},
    {'name': 'available_at', 'missing': count_if(available_at is null),
     'out_of_order': count(*) filter (where available_at < over_by)}
  ] as stamps
  from reached
  having count(*) > 0
), listed as (
  select transports, unnest(stamps) as stamp, generate_subscripts(stamps, 1) as place from counted
)
select stamp.name, transports, stamp.missing, stamp.out_of_order
from listed
order by place
