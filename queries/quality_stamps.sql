-- answers: which stamps of completed transports are missing or earlier than one that comes before them?
-- grain: one row per stamp, in order of the trip
-- parameters: none
with stamped as (
  select transport_id, unnest([
    {'place': 1, 'name': 'called_at', 'moment': called_at}, {'place': 2, 'name': 'accepted_at', 'moment': accepted_at},
    {'place': 3, 'name': 'departed_base_at', 'moment': departed_base_at},
    {'place': 4, 'name': 'arrived_referring_at', 'moment': arrived_referring_at},
    {'place': 5, 'name': 'at_patient_at', 'moment': at_patient_at},
    {'place': 6, 'name': 'departed_referring_at', 'moment': departed_referring_at},
    {'place': 7, 'name': 'arrived_receiving_at', 'moment': arrived_receiving_at},
    {'place': 8, 'name': 'handed_over_at', 'moment': handed_over_at},
    {'place': 9, 'name': 'available_at', 'moment': available_at}
  ]) as stamp
  from trips
  where completed
), compared as (
  select
    stamp,
    max(stamp.moment) over (
      partition by transport_id order by stamp.place rows between unbounded preceding and 1 preceding
    ) as earlier
  from stamped
)
select
  stamp.name, count(*) as transports, count_if(stamp.moment is null) as missing,
  count_if(coalesce(stamp.moment < earlier, false)) as out_of_order
from compared
group by stamp.name, stamp.place
order by stamp.place
