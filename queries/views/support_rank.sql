-- answers: how much support is a class, in the order of the definitions?
-- grain: a macro; higher is more, empty for unknown
-- parameters: the class
create or replace temp macro support_rank(class) as
  list_position(['none', 'low_flow', 'high_flow', 'cpap', 'nippv', 'invasive', 'high_frequency'], class)
