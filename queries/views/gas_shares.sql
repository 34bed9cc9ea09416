-- answers: which part of a transport's use came from each of its cylinders?
-- grain: one row per transport, gas and cylinder; the shares of a transport sum to 1, equal ones of each row where nothing was used
-- parameters: none
create or replace temp table gas_shares as
with each_one as (
  select
    c.transport_id, c.gas, coalesce(c.cylinder_id, 'not recorded') as cylinder, count(*) as openings,
    sum_in_order(c.squared_error, (c.file_id, c.record_no)) as squared_error,
    sum_in_order(greatest(c.start_litres - c.end_litres, 0), (c.file_id, c.record_no)) as given
  from cylinder_contents as c
  join gas_bridges as b on b.transport_id = c.transport_id and b.gas = c.gas
  group by all
), judged as (
  select *, sum(given) over same_trip as given_by_all, sum(openings) over same_trip as all_openings
  from each_one
  window same_trip as (
    partition by transport_id, gas order by cylinder rows between unbounded preceding and unbounded following
  )
)
select
  transport_id, gas, cylinder, squared_error,
  if(given_by_all > 0, given / given_by_all, openings / all_openings) as share
from judged
