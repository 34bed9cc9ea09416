package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"
	_ "time/tzdata" // the rules of every zone, also on a machine without them

	"github.com/spf13/pflag"
	"github.com/spf13/viper"

	"tripwake/pipeline/store"
	"tripwake/queries"
	"tripwake/queries/measures"
)

// settings are the settings in force, checked.
type settings struct {
	store   string
	keyFile string
	team    string
	report  reportSettings
	browser string // that prints reports; empty: the first that is found
	paper   string // of a PDF
	engine  store.Options

	queryTimeout time.Duration // longest time for a question of somebody's own; 0: no end

	zone    *time.Location
	queries queries.Settings
	limits  measures.Limits   // of control charts
	risk    measures.Baseline // of expected deaths
	buying  buying            // the purchase report's candidates
	origins []origin

	disclosure queries.Disclosure // of an extract
	study      queries.Study      // of the research report
}

// origin says which value a setting has and where it came from.
type origin struct {
	Key     string `json:"key"`
	Value   string `json:"value"`
	From    string `json:"from"` // default, file, environment or flag
	Comment string `json:"comment"`
}

// setting is one row of the table of settings: everything that is known of a key. take checks the text of its value and
// puts it where it belongs; the error says what was expected.
type setting struct {
	key     string
	text    string // the default
	comment string
	take    func(s *settings, text string) error
}

const (
	defaultStore = "tripwake.duckdb"
	settingsFile = "tripwake.yaml"
)

// table lists every setting, in the order in which they are shown.
func table() []setting {
	d := queries.Defaults()
	return slices.Concat([]setting{
		{"store", defaultStore, "the file that keeps the records", func(s *settings, t string) error { s.store = t; return required(t) }},
		{"time_zone", "UTC", "IANA name of the team's zone: times without an offset are local to it, months are counted in it", takeZone},
		{"team", "Transport team", "name of the team on reports", func(s *settings, t string) error { s.team = t; return nil }},
		{"key_file", "", "secret key of the pseudonyms on reports; empty: beside the store, made at the first report", func(s *settings, t string) error { s.keyFile = t; return nil }},
		{"memory", "1500MB", "most memory of the engine before it spills to disk", takeMemory},
		{"threads", "0", "threads of the engine; 0: one for each processor", takeThreads},
		{"query_timeout", "1m", "longest time that `tripwake query` takes for an answer, such as 90s; 0: no end", takeQueryTimeout},
	}, committeeSettings(), limitSettings(), []setting{
		number("mobilization_target", d.MobilizationTarget, "min: mobilization at or under it is on target", func(q *queries.Settings) *float64 { return &q.MobilizationTarget }),
		number("oxygen_reserve", d.OxygenReserve, "min: minutes of oxygen left on arrival below it are short", func(q *queries.Settings) *float64 { return &q.OxygenReserve }),
		number("residual_pressure", d.ResidualPressure, "psi: gauge pressure at which a cylinder counts as empty", func(q *queries.Settings) *float64 { return &q.ResidualPressure }),
		number("gauge_division", d.GaugeDivision, "psi: one division of a cylinder gauge; half of it is the error of a reading", func(q *queries.Settings) *float64 { return &q.GaugeDivision }),
		number("liquid_factor", d.LiquidFactor, "L of free gas per lb of liquid oxygen", func(q *queries.Settings) *float64 { return &q.LiquidFactor }),
		number("leak_allowance", d.LeakAllowance, "share by which leaks raise the demand for gas", func(q *queries.Settings) *float64 { return &q.LeakAllowance }),
		number("bleed_flow", d.BleedFlow, "L/min that the ventilator itself uses", func(q *queries.Settings) *float64 { return &q.BleedFlow }),
		{"cylinder_factors", factorsText(d.CylinderFactors), "L of free gas per psi for each cylinder size named by a letter", takeFactors},
		number("battery_share", d.BatteryShare, "share of the rated endurance above which a battery is overdrawn", func(q *queries.Settings) *float64 { return &q.BatteryShare }),
		span("episode_minimum", d.EpisodeMinimum, "a shorter support episode is passed over", func(q *queries.Settings) *time.Duration { return &q.EpisodeMinimum }),
		{"flood_onsets", strconv.Itoa(d.FloodOnsets), "alarm onsets within flood_window from which on it is a flood", takeFlood},
		span("flood_window", d.FloodWindow, "see flood_onsets", func(q *queries.Settings) *time.Duration { return &q.FloodWindow }),
		span("repeat_within", d.RepeatWithin, "an alarm sooner than this after the end of its like is a repeat", func(q *queries.Settings) *time.Duration { return &q.RepeatWithin }),
		span("leak_check_before", d.LeakCheckBefore, "how long before acceptance a leak check counts", func(q *queries.Settings) *time.Duration { return &q.LeakCheckBefore }),
		number("hypothermia", d.Hypothermia, "Cel: colder on arrival is hypothermia", func(q *queries.Settings) *float64 { return &q.Hypothermia }),
		number("hyperthermia", d.Hyperthermia, "Cel: warmer on arrival is hyperthermia", func(q *queries.Settings) *float64 { return &q.Hyperthermia }),
		number("hypocarbia", d.Hypocarbia, "mm[Hg]: pCO2 below it is over-ventilation", func(q *queries.Settings) *float64 { return &q.Hypocarbia }),
		number("hypercarbia", d.Hypercarbia, "mm[Hg]: pCO2 above it, with acidosis, is under-ventilation", func(q *queries.Settings) *float64 { return &q.Hypercarbia }),
		number("acidosis", d.Acidosis, "pH: see hypercarbia", func(q *queries.Settings) *float64 { return &q.Acidosis }),
		number("glucose_low", d.GlucoseLow, "mg/dL: glucose below it is low", func(q *queries.Settings) *float64 { return &q.GlucoseLow }),
	}, supplySettings(d), watchSettings(d), purchaseSettings(d), extractSettings(), studySettings())
}

// addSettingFlags gives every setting a flag; those that most people never need are left out of the help.
func addSettingFlags(flags *pflag.FlagSet) {
	shown := []string{"store", "time_zone", "team"}
	for _, s := range table() {
		name := flagName(s.key)
		flags.String(name, s.text, s.comment)
		if !slices.Contains(shown, s.key) {
			_ = flags.MarkHidden(name) // cannot fail: the flag was made above
		}
	}
	flags.String("settings", "", "settings file (default "+settingsFile+" in the working directory; see `tripwake settings`)")
}

func flagName(key string) string { return strings.ReplaceAll(key, "_", "-") }

// readSettings gathers the settings in force: defaults, then the file, then TRIPWAKE_*, then flags.
func readSettings(flags *pflag.FlagSet) (settings, error) {
	v := viper.New()
	v.SetEnvPrefix("TRIPWAKE")
	v.AutomaticEnv()
	file, err := readFile(v, flags)
	if err != nil {
		return settings{}, err
	}
	s := settings{queries: queries.Defaults()}
	for _, row := range table() {
		text, from, err := valueOf(v, flags, row, file)
		if err == nil {
			err = row.take(&s, text)
		}
		if err != nil {
			return s, fmt.Errorf("setting %s (from %s): %w", row.key, from, err)
		}
		s.origins = append(s.origins, origin{row.key, text, from, row.comment})
	}
	if err := s.checkLimits(); err != nil {
		return s, fmt.Errorf("setting %w", err)
	}
	s.queries.TimeZone = s.zone
	if err := s.queries.Validate(); err != nil {
		return s, fmt.Errorf("setting %w%s", err, s.cameFrom(err))
	}
	if err := s.disclosure.Validate(); err != nil {
		return s, fmt.Errorf("setting %w%s", err, s.cameFrom(err))
	}
	if err := s.checkStudy(); err != nil {
		return s, fmt.Errorf("setting %w%s", err, s.cameFrom(err))
	}
	return s, nil
}

// cameFrom says where the value came from that an error names by its key.
func (s settings) cameFrom(err error) string {
	for _, o := range s.origins {
		if strings.HasPrefix(err.Error(), o.Key) {
			return " (from " + o.From + ")"
		}
	}
	return ""
}

func readFile(v *viper.Viper, flags *pflag.FlagSet) (string, error) {
	file, _ := flags.GetString("settings")
	if file == "" {
		if _, err := os.Stat(settingsFile); err != nil {
			return "", nil
		}
		file = settingsFile
	}
	v.SetConfigFile(file)
	v.SetConfigType("yaml")
	if err := v.ReadInConfig(); err != nil {
		return "", fmt.Errorf("settings file %s: %w", file, err)
	}
	for _, key := range v.AllKeys() {
		key, _, _ = strings.Cut(key, ".")
		if !slices.ContainsFunc(table(), func(s setting) bool { return s.key == key }) {
			return "", fmt.Errorf("settings file %s: %q is no setting; `tripwake settings` lists all", file, key)
		}
	}
	return file, nil
}

func valueOf(v *viper.Viper, flags *pflag.FlagSet, row setting, file string) (text, from string, err error) {
	if f := flags.Lookup(flagName(row.key)); f != nil && f.Changed {
		return f.Value.String(), "flag --" + f.Name, nil
	}
	name := "TRIPWAKE_" + strings.ToUpper(row.key)
	if value, ok := os.LookupEnv(name); ok {
		return value, name, nil
	}
	if file != "" && v.InConfig(row.key) {
		text, err = valueInFile(v, row.key)
		return text, file, err
	}
	return row.text, "default", nil
}

// valueInFile is the text of a value in the file: maps and lists only where the setting takes them.
func valueInFile(v *viper.Viper, key string) (string, error) {
	switch {
	case key == "cylinder_factors" || key == "device_gas":
		return mapOrText(v, key), nil
	case slices.Contains(structured, key):
		return structText(v.Get(key)), nil
	}
	switch value := v.Get(key).(type) {
	case []any:
		if !slices.Contains(commaLists, key) {
			return "", errors.New("expected one value, got a list")
		}
		items := make([]string, len(value))
		for i, item := range value {
			items[i] = fmt.Sprint(item)
		}
		return strings.Join(items, ", "), nil
	case map[string]any:
		return "", errors.New("expected a value, got keys with values")
	}
	return v.GetString(key), nil
}

// commaLists are the settings that are texts with commas between, and may be lists in a file.
var commaLists = []string{"sections", "first_page", "extract_age_limits", "extract_weight_limits"}

// strangers lists variables of the environment that look like settings and are none.
func strangers() (names []string) {
	for _, pair := range os.Environ() {
		name, _, _ := strings.Cut(pair, "=")
		key, ours := strings.CutPrefix(name, "TRIPWAKE_")
		if ours && !slices.ContainsFunc(table(), func(s setting) bool { return strings.ToUpper(s.key) == key }) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}
