package queries

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"tripwake/pipeline/store"
)

// AllMonths stands in Sum.Month where months are pooled.
const AllMonths = "all"

// NotRecorded is the group of the transports whose grouping value is empty.
const NotRecorded = "not recorded"

// Groupings returns the values that Request.By takes beside the empty one.
func Groupings() []string {
	return []string{"vehicle", "team", "urgency", "referring_site", "device", "diagnosis", "gestation_band", "age_band"}
}

// Request says which facts to add up and how to group the sums.
//
// Measures are ids of measures.csv. From and To are months "YYYY-MM", both included; empty leaves that end open. By is
// empty or one of Groupings.
type Request struct {
	Measures []string
	ByMonth  bool
	By       string
	From, To string
}

// Sum is what the facts of one measure add up to in one month and group.
//
// What X, T, Xs and Ts hold depends on the measure:
//
//	time        Xs = the values, sorted (min; L/h for oxygen_per_hour); X their sum; T = 0
//	proportion  X = members that meet the numerator, T = members (rows for repeat_alarms and record_linked, hours for alarming_time)
//	rate        X = events, T = exposure (transports; invasive hours, monitored hours, device hours)
//	ratio       X = sum used, T = sum planned (L); Xs, Ts = used and planned of each transport, ordered by transport
//	clustered   X, T as rate; Xs, Ts = each transport's own sums, ordered by transport
//
// Facts counts the judged facts, Transports the transports they belong to (devices with time in service for
// device_failures). LeftOut counts the members that could not be judged, by reason; it is nil where there is none.
type Sum struct {
	Measure, Month, Group string
	Facts, Transports     int
	X, T                  float64
	Xs, Ts                []float64
	LeftOut               map[string]int
}

// Reader answers the questions over one open store. It is not safe for concurrent use.
type Reader struct {
	db       *sql.DB
	store    *store.Store
	settings Settings
	built    map[string]bool

	supportHeld *monthSpan      // for which the table support_held is filled; nil: for none
	tied        map[string]bool // quantities in whose readings a replay met several at one moment
}

// Open makes a reader over the store with the settings given. It refuses settings that do not hold, naming the key.
//
// Nothing is computed yet: building blocks are made, as temporary tables of the store's only connection, when a question
// first needs them. A load into the same store after Open is not seen: open another reader.
func Open(ctx context.Context, s *store.Store, set Settings) (*Reader, error) {
	if s == nil {
		return nil, errors.New("queries: open needs a store, got nil")
	}
	if err := set.Validate(); err != nil {
		return nil, err
	}
	r := &Reader{db: s.DB(), store: s, settings: set, built: map[string]bool{}, tied: map[string]bool{}}
	if err := r.register(ctx); err != nil {
		return nil, fmt.Errorf("queries: settings could not be registered: %w", err)
	}
	return r, nil
}

// Settings returns the settings that the reader was opened with.
func (r *Reader) Settings() Settings { return r.settings }
