package normalise

import "fmt"

// The forms of a moment: 2026-03-31 14:05, with T for the blank, seconds, fractions and an offset (Z, +02:00, -0600).
// Other orders of day and month are refused: they cannot be told apart.
const (
	localForm  = `\d{4}-\d{2}-\d{2}[ T]\d{1,2}:\d{2}(:\d{2}(\.\d{1,9})?)?`
	offsetForm = ` ?([Zz]|[+-]\d{2}(:?\d{2})?)`
)

// localSQL is the local timestamp of a text without offset, NULL for any other. The first two forms are nearly all there
// are and need no regular expression.
func localSQL(t string) string {
	return fmt.Sprintf(`case when %[1]s like '____-__-__ __:__:__' or %[1]s like '____-__-__T__:__:__' then try_cast(%[1]s as timestamp)
		when regexp_full_match(%[1]s, '%[2]s') then try_cast(%[1]s as timestamp) end`, t, localForm)
}

// universalSQL is the UTC timestamp of a text that carries its offset, NULL for any other.
func universalSQL(t string) string {
	return fmt.Sprintf(`case when regexp_full_match(%[1]s, '%[2]s%[3]s') then
		try_cast(regexp_extract(%[1]s, '^(%[2]s)', 1) as timestamp) - to_minutes(%[4]s) end`,
		t, localForm, offsetForm, offsetMinutesSQL(t))
}

func offsetMinutesSQL(t string) string {
	return fmt.Sprintf(`case when lower(right(%[1]s, 1)) = 'z' then 0 else
		case when regexp_extract(%[1]s, '([+-])\d{2}(:?\d{2})?$', 1) = '-' then -1 else 1 end *
		(regexp_extract(%[1]s, '[+-](\d{2})(:?\d{2})?$', 1)::bigint * 60 +
		coalesce(nullif(regexp_extract(%[1]s, '[+-]\d{2}:?(\d{2})$', 1), '')::bigint, 0)) end`, t)
}
