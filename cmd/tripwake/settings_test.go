package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// inForce gives one setting as `tripwake settings --format json` shows it.
func inForce(p *place, key string, args ...string) origin {
	p.t.Helper()
	for _, o := range objects[origin](p.t, p.good(append([]string{"settings", "--format", "json"}, args...)...)) {
		if o.Key == key {
			return o
		}
	}
	p.t.Fatalf("no setting %s", key)
	return origin{}
}

// A flag outweighs the environment, that outweighs the file, and that the default.
func TestSettingsPrecedence(t *testing.T) {
	p := newPlace(t)
	want := func(value, from string, args ...string) {
		t.Helper()
		if got := inForce(p, "oxygen_reserve", args...); got.Value != value || got.From != from {
			t.Errorf("oxygen_reserve is %s from %s, want %s from %s", got.Value, got.From, value, from)
		}
	}
	want("30", "default")
	p.write(settingsFile, "oxygen_reserve: 40\ntime_zone: America/Denver\ncylinder_factors: {E: 0.35}\n")
	want("40", settingsFile)
	p.write("other.yaml", "oxygen_reserve: 45\n")
	want("45", "other.yaml", "--settings", "other.yaml")
	p.env = []string{"TRIPWAKE_OXYGEN_RESERVE=50"}
	want("50", "TRIPWAKE_OXYGEN_RESERVE")
	want("60", "flag --oxygen-reserve", "--oxygen-reserve", "60")
	if got := inForce(p, "time_zone"); got.Value != "America/Denver" {
		t.Errorf("time_zone is %s, want that of the file", got.Value)
	}
	if got := inForce(p, "cylinder_factors"); !strings.Contains(got.Value, "E 0.35") {
		t.Errorf("cylinder_factors are %s, want E 0.35 in them", got.Value)
	}
}

// What `settings` prints can be kept as the settings file and gives the same settings.
func TestSettingsRoundTrip(t *testing.T) {
	p := newPlace(t)
	shown := p.good("settings", "--oxygen-reserve", "35", "--team", "North: day & night")
	for _, row := range table() {
		if !strings.Contains(shown, "\n"+row.key+": ") && !strings.HasPrefix(shown, row.key+": ") {
			t.Errorf("%s is not shown", row.key)
		}
		if row.comment == "" {
			t.Errorf("%s has no comment", row.key)
		}
	}
	p.write(settingsFile, shown)
	for key, value := range map[string]string{"oxygen_reserve": "35", "team": "North: day & night", "flood_window": "10m"} {
		if got := inForce(p, key); got.Value != value || got.From != settingsFile {
			t.Errorf("%s is %q from %s, want %q from the file", key, got.Value, got.From, value)
		}
	}
}

// anyText marks a setting that takes any text.
const anyText = "any text"

// wrongValues has, for some settings, the value that must be refused; for others it is "x".
var wrongValues = map[string]string{
	"store": "", "team": anyText, "browser": anyText, "peer_review_notice": "", "key_file": anyText, "time_zone": "Mars/Base", "memory": "much", "threads": "-1",
	"baseline_from": "March", "baseline_to": "2026-00", "rebaseline": "[{", "oxygen_reserve": "-4", "residual_pressure": "NaN",
	"liquid_factor": "0", "leak_allowance": "-1", "cylinder_factors": "E", "episode_minimum": "2", "flood_onsets": "1.5",
	"flood_window": "-5m", "hypothermia": "98.6F", "device_gas": "V3 0.1", "charge_floor": "-1",
}

// A wrong value is one line that names the key, whatever it came from.
func TestSettingsErrorsNameTheKey(t *testing.T) {
	for _, row := range table() {
		value, ok := wrongValues[row.key]
		if !ok {
			value = "x"
		}
		if value == anyText {
			continue
		}
		p := newPlace(t)
		p.bad(exitUsage, row.key, "settings", "--"+flagName(row.key)+"="+value)
		p.env = []string{"TRIPWAKE_" + strings.ToUpper(row.key) + "=" + value}
		p.bad(exitUsage, row.key, "settings")
	}
	p := newPlace(t)
	for text, words := range map[string]string{
		"oxygen_reserves: 40\n": "oxygen_reserves", "oxygen_reserve: plenty\n": "oxygen_reserve", "team: [\n": settingsFile,
		"cylinder_factors: {E: much}\n": "cylinder_factors",
	} {
		p.write(settingsFile, text)
		p.bad(exitUsage, words, "settings")
	}
	if err := os.Remove(filepath.Join(p.dir, settingsFile)); err != nil {
		t.Fatal(err)
	}
	p.bad(exitUsage, "none.yaml", "settings", "--settings", "none.yaml")
}

// A setting changes what is measured: the target that mobilization is held to.
func TestSettingChangesAnswers(t *testing.T) {
	p := smallPlace(t)
	p.good("load", "in")
	for target, want := range map[string]string{"20": `"on_target":100`, "19": `"on_target":0`} {
		if got := p.good("measure", "mobilization_time", "--format", "json", "--mobilization-target", target); !strings.Contains(got, want) {
			t.Errorf("20 min held to a target of %s min: want %s in %s", target, want, got)
		}
	}
}
