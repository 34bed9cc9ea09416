package queries

import "testing"

func TestDemands(t *testing.T) {
	f := newFixture(t)
	f.trip("done", cells{"disposition": "null", "delay_reason": q("no_equipment")})
	f.trip("late", cells{"delay_reason": q("weather")})
	f.trip("kit", cells{"disposition": q("declined"), "disposition_reason": q("no_equipment"), "delay_reason": q("no_equipment")})
	f.trip("weather", cells{"disposition": q("declined"), "disposition_reason": q("weather")})
	f.trip("why", cells{"disposition": q("declined")})
	f.trip("off", cells{"disposition": q("cancelled"), "disposition_reason": q("no_equipment")})
	no, yes := "0.0/1.0", "1.0/1.0"
	f.want("declined", map[string]string{"done": no, "late": no, "kit": yes, "weather": yes, "why": yes, "off": no})
	f.want("declined_no_equipment", map[string]string{"done": no, "late": no, "kit": yes, "weather": no, "why": no, "off": no})
	f.want("delayed_no_equipment", map[string]string{"done": yes, "late": no})
}
