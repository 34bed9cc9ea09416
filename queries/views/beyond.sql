-- answers: on which side of a range is a value?
-- grain: a macro; -1 below, 1 above, 0 in the range, empty for an empty value; rounded, so that a value on a bound is in
-- parameters: the value; the least and the greatest that are in the range (null: none)
create or replace temp macro beyond(value, least_in, most_in) as
  case when round(value, 9) < least_in then -1 when round(value, 9) > most_in then 1 when value is not null then 0 end
