-- answers: which part of a transport's use came from each of its cylinders?
-- grain: one row per transport, gas and cylinder; the shares of a transport sum to 1, equal ones where nothing was used
-- parameters: none
create or replace temp table gas_shares as
with judged as (
  select
    c.transport_id, c.gas, coalesce(c.cylinder_id, 'not recorded') as cylinder, c.squared_error,
    greatest(c.start_litres - c.end_litres, 0) as given,
    sum(greatest(c.start_litres - c.end_litres, 0)) over same_trip as given_by_all,
    count(*) over same_trip as cylinders
  from cylinder_contents as c
  join gas_bridges as b on b.transport_id = c.transport_id and b.gas = c.gas
  window same_trip as (partition by c.transport_id, c.gas)
)
select
  transport_id, gas, cylinder, squared_error,
  if(given_by_all > 0, given / given_by_all, 1 / cylinders) as share
from judged
