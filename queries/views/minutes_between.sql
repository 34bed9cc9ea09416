-- answers: how long is it from one moment to another?
-- grain: a macro; minutes, rounded to 1e-9 as numbers are before they are held against a limit
-- parameters: two moments
create or replace temp macro minutes_between(earlier, later) as
  round((epoch_us(later) - epoch_us(earlier)) / 6e7::double, 9)
