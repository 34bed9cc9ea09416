-- answers: how much gas did the settings ask for in all, and at the last?
-- grain: one row per transport with settings in force, and gas; L and L/min, empty where a stretch does not say
-- parameters: none
create or replace temp table gas_asked as
with added as (
  select
    transport_id, gas, bool_or(carried_us > 0 and flow is null) as gaps,
    -- whole parts of 1e-9 L/min × 1 µs, so that the sum is the same in any order
    sum(if(carried_us > 0, (flow * carried_us * 1e3)::hugeint, 0)) as parts,
    arg_max({'flow': flow}, from_at) filter (where carried_us > 0 and (flow is null or round(flow, 9) > 0)) as last_one
  from carried_demand
  group by transport_id, gas
)
select
  transport_id, gas, if(gaps, null, parts::double / 6e10) as hindsight, last_one is not null as demanded,
  last_one.flow as last_flow
from added
