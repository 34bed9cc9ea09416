-- answers: from which class of support to which did completed transports change?
-- grain: one row per pair of classes, in the order of the classes
-- parameters: $first, $last (months, null: open)
select c.from_class, c.to_class, count(*) as conversions, count(distinct c.transport_id) as transports
from conversions as c
join trips as t using (transport_id)
where t.completed
  and ($first::date is null or t.month >= $first::date)
  and ($last::date is null or t.month <= $last::date)
group by c.from_class, c.to_class
order by support_rank(c.from_class), support_rank(c.to_class)
