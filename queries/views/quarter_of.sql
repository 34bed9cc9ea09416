-- answers: in which quarter of an hour, in UTC, does a moment lie?
-- grain: a macro; the beginning of the quarter, half the cost of time_bucket
-- parameters: the moment
create or replace temp macro quarter_of(moment) as
  make_timestamp(epoch_us(moment) // 900000000 * 900000000)
