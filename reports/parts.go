package reports

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tripwake/queries/measures"
)

// part is one of the parts of a committee report, in its place.
type part struct {
	Name    string
	Section *section // of the parts that are sections of measures or the cases; nil for the others
}

// The parts that are no section of measures.
const (
	partMonth, partMeasures, partCases = "month", "measures", "cases"
	partQuality, partNotes, partMethod = "quality", "notes", "method"
)

// printedCases is how many pages of cases a short print has: two stand on a sheet.
const printedCases = 12

// Parts are the names of the parts of a committee report in their usual order. A report begins with the month and ends with how to
// read it, whatever is asked for between.
func Parts() []string {
	names := []string{partMonth, partMeasures}
	for _, s := range measures.Sections() {
		names = append(names, slug(s))
	}
	return append(names, partCases, partNotes, partQuality, partMethod)
}

// CheckParts refuses names that are no part, and one that stands twice.
func CheckParts(names []string) error {
	for i, name := range names {
		if !slices.Contains(Parts(), name) {
			return fmt.Errorf("expected parts of the report (%s), got %q", strings.Join(Parts(), ", "), name)
		}
		if slices.Contains(names[:i], name) {
			return fmt.Errorf("%q stands twice; expected each part once", name)
		}
	}
	return nil
}

// partsOf puts the parts that are asked for in order, without those that have nothing to show.
func partsOf(in Input, sections []section) []part {
	names := slices.DeleteFunc(slices.Clone(in.Parts), func(n string) bool { return n == partMonth || n == partMethod })
	var all []part
	for _, name := range slices.Concat([]string{partMonth}, names, []string{partMethod}) {
		p := part{Name: name}
		at := slices.IndexFunc(sections, func(s section) bool { return s.ID == "section-"+name })
		switch {
		case at >= 0:
			p.Section = &sections[at]
		case !slices.Contains([]string{partMonth, partMeasures, partQuality, partNotes, partMethod}, name):
			continue
		}
		all = append(all, p)
	}
	return all
}

// contents lists the parts for those who look for one.
func contents(parts []part) []link {
	titles := map[string]string{partMonth: "The month on one page", partMeasures: "All measures", partQuality: "Can the records be trusted?",
		partNotes: "What was changed and agreed", partMethod: "How to read this report"}
	var links []link
	for _, p := range parts {
		if p.Section != nil {
			links = append(links, link{p.Section.ID, p.Section.Question})
			continue
		}
		links = append(links, link{p.Name, titles[p.Name]})
	}
	return links
}

// shorten marks what a short print leaves out: measures whose month is as before, what belongs to no signal, and all but the first
// cases. On a screen nothing is left out. It gives the numbers of measures and cases that are not printed.
func shorten(sections []section) (quiet, cases int) {
	for i := range sections {
		s := &sections[i]
		loud := false
		for j := range s.Measures {
			m := &s.Measures[j]
			if m.More = len(m.Findings) == 0 && !m.apart; m.More {
				quiet++
			}
			loud = loud || !m.More
		}
		for j := range s.Figures {
			fig := &s.Figures[j]
			switch {
			case s.ID == "section-"+partCases:
				if fig.More = j >= printedCases; fig.More {
					cases++
				}
			default:
				fig.More = !fig.telling && !(s.ID == "section-alarms" && loud && fig.ofAlarms)
			}
			loud = loud || !fig.More
		}
		s.More = !loud
	}
	return quiet, cases
}

var (
	inner  = regexp.MustCompile(`<a href="#([^"]+)">([^<]*)</a>`)
	idName = regexp.MustCompile(` id="([^"]+)"`)
)

// withoutDeadLinks leaves the words of links whose target is in a part that was not asked for.
func withoutDeadLinks(text []byte) []byte {
	there := map[string]bool{}
	for _, m := range idName.FindAllSubmatch(text, -1) {
		there[string(m[1])] = true
	}
	return inner.ReplaceAllFunc(text, func(found []byte) []byte {
		m := inner.FindSubmatch(found)
		if there[string(m[1])] {
			return found
		}
		return m[2]
	})
}
