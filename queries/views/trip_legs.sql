-- answers: in which leg of its trip was a completed transport, and when?
-- grain: one row per leg, end not included; one leg "not known" where a stamp is missing or out of order
-- parameters: none
create or replace temp table trip_legs as
with stamped as (
  select
    transport_id, wide_from, wide_to, care_from, departed_referring_at as left_at, arrived_receiving_at as arrived_at,
    coalesce(handed_over_at, wide_to) as handed_at, wide_to + interval 1 microsecond as end_at
  from trips
  where completed and wide_from is not null
), cut as (
  select
    *,
    coalesce(
      wide_from <= care_from and care_from <= left_at and left_at <= arrived_at and arrived_at <= handed_at
      and handed_at <= wide_to, false
    ) as known
  from stamped
), listed as (
  select transport_id, unnest(if(
    known,
    [
      {'leg': 1, 'place': 'before the patient', 'from_at': wide_from, 'to_at': care_from},
      {'leg': 2, 'place': 'at the referring hospital', 'from_at': care_from, 'to_at': left_at},
      {'leg': 3, 'place': 'patient leg', 'from_at': left_at, 'to_at': arrived_at},
      {'leg': 4, 'place': 'at the receiving hospital', 'from_at': arrived_at, 'to_at': handed_at},
      {'leg': 5, 'place': 'after hand-over', 'from_at': handed_at, 'to_at': end_at}
    ],
    [{'leg': 6, 'place': 'not known', 'from_at': wide_from, 'to_at': end_at}]
  )) as part
  from cut
)
select transport_id, part.leg as leg, part.place as place, part.from_at as from_at, part.to_at as to_at
from listed
where part.from_at < part.to_at
