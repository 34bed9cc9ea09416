-- answers: what did the team change or agree in the months looked at?
-- grain: one row per note
-- parameters: $first, $last (months, null: open)
select
  strftime(noted_on, '%Y-%m-%d') as noted_on, strftime(noted_on, '%Y-%m') as month, coalesce(measure, '') as measure, kind,
  text, coalesce(owner, '') as owner, coalesce(strftime(closed_on, '%Y-%m-%d'), '') as closed_on
from kept.notes
where ($first::date is null or noted_on >= $first::date)
  and ($last::date is null or noted_on < $last::date + interval 1 month)
order by kept.notes.noted_on, file_id, record_no
