-- answers: which are the first and the last month that have a transport?
-- grain: one row
-- parameters: none
select strftime(min(month), '%Y-%m') as first_month, strftime(max(month), '%Y-%m') as last_month
from trips
