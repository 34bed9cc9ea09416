-- answers: when did the class of support change from one episode to the next?
-- grain: one row per change
-- parameters: none
create or replace temp table conversions as
with followed as (
  select
    transport_id, class as from_class, to_at as changed_at,
    lead(class) over (partition by transport_id order by episode) as to_class
  from episodes
)
select *, support_rank(to_class) > support_rank(from_class) as escalation
from followed
where to_class is not null
