-- answers: how long did the ventilator of each released transport run on battery?
-- grain: one row per completed transport with a power record of its ventilator
-- parameters: none
select
  d.code as transport, if(b.left_out is null, b.lit, null) as lit, if(b.left_out is null, b.dim, null) as dimmed,
  if(b.left_out is null, b.share, null) as share, b.left_out
from disclosed as d
join battery_drawn as b using (transport_id)
order by d.code
