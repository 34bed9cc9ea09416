package units

import (
	"regexp"
	"strings"
)

// Compound is a quantity that people write in a larger and a smaller unit at once, such as 5 lb 3 oz.
type Compound struct {
	Larger string   // UCUM code of the larger unit
	Less   float64  // how many of the smaller unit make one of the larger
	Forms  []string // patterns (RE2) of the whole text in lower case; two groups, the counts of the larger and the smaller unit
	Sign   string   // which no text holds that is written otherwise; empty for none
}

// The quantities written so: gestation in completed weeks and days (27+3, 27w3d, 27 3/7), weight in pounds and ounces
// (5 lb 3 oz). Days go to 6, and ounces stay below 16: more is a slip. Common practice.
var (
	WeeksAndDays = Compound{"wk", 7, []string{
		`(\d{1,2})\s*(?:\+|w(?:ks?|eeks?)?\.?)\s*([0-6])\s*(?:/7|d(?:ays?)?\.?)?`,
		`(\d{1,2})\s+([0-6])/7`,
	}, "+"}
	PoundsAndOunces = Compound{"[lb_av]", 16, []string{
		`(\d{1,3})\s*(?:lbs?|pounds?)\.?,?\s*((?:1[0-5]|\d)(?:\.\d+)?)\s*(?:oz|ounces?)\.?`,
	}, ""}
)

// Matches says whether a text is written in both units.
func (c Compound) Matches(text string) bool {
	return regexp.MustCompile(`^(?:` + strings.Join(c.Forms, "|") + `)$`).MatchString(strings.ToLower(strings.TrimSpace(text)))
}
