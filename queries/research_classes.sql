-- answers: which transports share what others could know with fewer transports than asked for?
-- grain: one row per transport in such a class, with the number of transports in it
-- parameters: 1 the columns that others could know, 2 the smallest number allowed
create or replace temp table small_classes as
select code, members
from (select code, count(*) over (partition by %[1]s) as members from disclosed)
where members < %[2]d
