package main

import (
	"fmt"
	"path/filepath"

	"tripwake/queries/measures"
)

// demoCandidates are what the invented team thinks of buying. Prices are invented to the size of the register's own.
const demoCandidates = `[
 {"name": "Second ventilator at Umberlock", "kind": "ventilator", "team": "Umberlock", "price": 42000, "life": 8, "service": 1200},
 {"name": "Seventh monitor", "kind": "monitor", "price": 17200, "life": 7, "service": 400},
 {"name": "Larger battery for V5", "kind": "battery", "devices": ["V5"], "endurance": 240, "endurance_dimmed": 300, "derating": 0.8, "price": 1900, "life": 4, "service": 60},
 {"name": "Two 2 L cylinders at Umberlock", "kind": "cylinders", "team": "Umberlock", "sizes": ["2 L", "2 L"], "price": 450, "life": 10, "service": 40}
]`

const demoCurrency = "USD"

// demoBuying gives the invented team its candidates and currency where nothing else is set.
func (a *app) demoBuying() (err error) {
	for i, o := range a.settings.origins {
		switch {
		case o.From != "default":
		case o.Key == "currency":
			a.settings.buying.currency, a.settings.origins[i].Value = demoCurrency, demoCurrency
		case o.Key == "candidates":
			if a.settings.buying.candidates, err = measures.ReadCandidates([]byte(demoCandidates), a.settings.queries); err != nil {
				return fmt.Errorf("candidates of the demo: %w", err)
			}
			a.settings.origins[i].Value = demoCandidates
		}
	}
	return nil
}

// demoSettingsFile keeps the settings of the demo beside its store, so that its reports can be written again from there.
func (a *app) demoSettingsFile(out, zone string) (string, error) {
	path := filepath.Join(out, settingsFile)
	text := fmt.Sprintf("# The invented team's own settings; `tripwake settings` shows all.\nteam: %q\ntime_zone: %s\ncurrency: %s\ncandidates: %s\n",
		a.settings.team, zone, a.settings.buying.currency, demoCandidates)
	return path, writeOwn(path, []byte(text))
}
