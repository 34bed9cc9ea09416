-- answers: which class of respiratory support does a settings row stand for?
-- grain: a macro; the first rule that fits
-- parameters: the mode selected and the interface
create or replace temp macro support_class(mode, interface) as case
  when mode in ('standby', 'off') then 'none'
  when mode in ('hfov', 'hfjv') then if(coalesce(interface in ('nasal', 'mask'), false), 'nippv', 'high_frequency')
  when interface in ('tube', 'tracheostomy', 'laryngeal_mask') then 'invasive'
  when mode = 'cpap' then 'cpap'
  when mode = 'nippv' then 'nippv'
  when mode = 'low_flow' then 'low_flow'
  when mode = 'high_flow' then 'high_flow'
  when interface in ('nasal', 'mask') then 'nippv'
  else 'unknown'
end
