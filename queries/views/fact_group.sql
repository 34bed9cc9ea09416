-- answers: in which group does a fact count?
-- grain: a macro over the grouping asked for, the fact's own device and the group of its transport
-- parameters: the grouping, empty for none; the device; the group
create or replace temp macro fact_group(by_what, device, grouped) as case
  when by_what = '' then ''
  when by_what = 'device' then coalesce(device, grouped, 'not recorded')
  else coalesce(grouped, 'not recorded')
end
