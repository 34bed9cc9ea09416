-- answers: for how long was a quantity below, in and above a range while support was given?
-- grain: one row, from the transports that support_shares.sql took; time in hours
-- parameters: none
select
  count(*) as transports, coalesce(sum(held_us), 0) / 3.6e9 as hours, coalesce(sum(below_us), 0) / 3.6e9 as below,
  coalesce(sum(above_us), 0) / 3.6e9 as above, quantile_cont(100.0 * below_us / held_us, 0.5) as middle_below,
  quantile_cont(100.0 * above_us / held_us, 0.5) as middle_above
from support_shares
