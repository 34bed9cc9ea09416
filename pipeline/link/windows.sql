-- answers: from when to when each transport could own device rows
-- grain: one row per transport that is not superseded
-- parameters: 1 minutes by which a window is widened
with stamps as (
    select
        transport_id, accepted_at, available_at,
        least(called_at, accepted_at, departed_base_at, arrived_referring_at, at_patient_at,
            departed_referring_at, arrived_receiving_at, handed_over_at, available_at) as first_stamp,
        greatest(called_at, accepted_at, departed_base_at, arrived_referring_at, at_patient_at,
            departed_referring_at, arrived_receiving_at, handed_over_at, available_at) as last_stamp
    from kept.transports
    where not superseded
)
select
    transport_id,
    coalesce(accepted_at, first_stamp) as window_from,
    coalesce(available_at, last_stamp) as window_to,
    window_from - to_minutes(%[1]d) as wide_from,
    window_to + to_minutes(%[1]d) as wide_to
from stamps
