-- answers: which transports drew most on their ventilator's battery?
-- grain: one row per transport of battery_time whose ventilator has a rated endurance and that used some of it, most first
-- parameters: $first, $last (months, null: open)
select
  transport_id, coalesce(strftime(month, '%Y-%m'), '') as month, device, lit, dim, share,
  round(share, 9) > setting_battery_share() as overdrawn
from battery_drawn
where left_out is null and share > 0
  and ($first::date is null or month >= $first::date)
  and ($last::date is null or month <= $last::date)
order by share desc, placed_at, transport_id
