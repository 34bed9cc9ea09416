package normalise

import "fmt"

// The forms of a moment: 2026-03-31 14:05, with T for the blank, seconds, fractions and an offset (Z, +02:00, -0600).
// Other orders of day and month are refused: they cannot be told apart.
const (
	localForm  = `\d{4}-\d{2}-\d{2}[ T](([01]?\d|2[0-3]):[0-5]\d(:[0-5]\d(\.\d{1,9})?)?|24:00(:00)?)`
	offsetForm = ` ?([Zz]|[+-](0\d|1[0-4])(:?[0-5]\d)?)`
)

// localSQL is the local timestamp of a text without offset, NULL for any other. The engine's cast alone would drop an
// offset and read "-026-03-31" as a year before Christ.
//
// A text of 19 bytes that the engine writes back just so was read right; that is told sooner than its form.
func localSQL(t, cast string) string {
	quick := ""
	if cast != "" {
		quick = fmt.Sprintf("when strlen(%[1]s) = 19 and %[2]s::varchar = %[1]s then %[2]s", t, cast)
	}
	return fmt.Sprintf(`case %[3]s when regexp_full_match(%[1]s, '%[2]s') then try_cast(%[1]s as timestamp) end`, t, localForm, quick)
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
