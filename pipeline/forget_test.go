package pipeline_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// remembered is a folder of exports and a store into which they are loaded; the key lies outside.
type remembered struct {
	t            *testing.T
	folder, path string
	key          []byte
}

func newRemembered(t *testing.T) remembered {
	t.Helper()
	m := remembered{t, t.TempDir(), filepath.Join(t.TempDir(), "s.duckdb"), []byte(strings.Repeat("k", 32))}
	m.write("transports.csv", "transport_id,patient_key,vehicle,ventilator_id,accepted_at,at_patient_at,handed_over_at,available_at",
		"RUN-77,KEY-Quercus,ground,V1,2026-01-05 10:00,2026-01-05 10:20,2026-01-05 12:00,2026-01-05 13:00",
		"RUN-77,KEY-Quercus,rotor,V1,2026-01-05 10:00,2026-01-05 10:20,2026-01-05 12:00,2026-01-05 13:00",
		"RUN-78,KEY-Betula,ground,V1,2026-01-05 13:40,2026-01-05 14:00,2026-01-05 15:00,2026-01-05 16:00",
		"RUN-79,KEY-Quercus,ground,V2,2026-01-06 13:40,2026-01-06 14:00,2026-01-06 15:00,2026-01-06 16:00")
	m.write("readings.csv", "device_id,recorded_at,quantity,value,unit",
		"V1,2026-01-05 11:00,spo2,97,%", "V1,2026-01-05 13:10,spo2,91,%", "V1,2026-01-05 14:01,spo2,92,%", "V1,2026-01-09 14:01,spo2,93,%")
	m.write("events.csv", "event_id,transport_id,recorded_at,kind,harm,narrative",
		"E1,RUN-77,,other,mild,tube out", "E2,RUN-78,,other,mild,the same as in run-77.", "E3,RUN-77,,nonsense,mild,tube out", "E4,RUN-78,25:00,other,mild,as for key-quercus")
	m.write("carried.csv", "transport_id,device_id", "RUN-77,M1,too many", "RUN-77,M2", "RUN-78,M2")
	m.write("notes.csv", "noted_on,kind,text", "2026-01-07,action,talked about RUN-77")
	return m
}

func (m remembered) write(name string, lines ...string) {
	m.t.Helper()
	if err := os.WriteFile(filepath.Join(m.folder, name), []byte(strings.Join(lines, "\n")+"\n"), 0o600); err != nil {
		m.t.Fatal(err)
	}
}

func (m remembered) on(do func(*store.Store)) {
	m.t.Helper()
	st, err := store.Open(m.t.Context(), m.path, store.Options{Threads: 1})
	if err != nil {
		m.t.Fatal(err)
	}
	do(st)
	if err := st.Close(); err != nil {
		m.t.Fatal(err)
	}
}

func (m remembered) load() (err error) {
	m.t.Helper()
	m.on(func(st *store.Store) {
		_, err = pipeline.Load(m.t.Context(), st, []string{m.folder}, pipeline.Options{Zone: time.UTC, Now: time.Unix(0, 0), Program: "test",
			Key: func() ([]byte, error) { return m.key, nil }})
	})
	return err
}

func (m remembered) mustLoad() {
	m.t.Helper()
	if err := m.load(); err != nil {
		m.t.Fatal(err)
	}
}

func (m remembered) forget(f pipeline.Forgetting) (done pipeline.Forgot) {
	m.t.Helper()
	f.Key, f.Now = m.key, time.Unix(0, 0)
	m.on(func(st *store.Store) {
		var err error
		if done, err = pipeline.Forget(m.t.Context(), st, f); err != nil {
			m.t.Fatal(err)
		}
	})
	if err := store.Rewrite(m.t.Context(), m.path, store.Options{Threads: 1}); err != nil {
		m.t.Fatal(err)
	}
	return done
}

// count asks the store for one number.
func (m remembered) count(text string) (n int64) {
	m.t.Helper()
	m.on(func(st *store.Store) {
		if err := st.Engine(m.t.Context()).Ask(text, &n); err != nil {
			m.t.Fatal(err)
		}
	})
	return n
}

// holds says in which of the store's files a text stands, in any letter case.
func (m remembered) holds(text string) (found []string) {
	m.t.Helper()
	names, err := filepath.Glob(m.path + "*")
	if err != nil {
		m.t.Fatal(err)
	}
	for _, name := range names {
		content, err := os.ReadFile(name)
		if err != nil {
			m.t.Fatal(err)
		}
		if bytes.Contains(bytes.ToLower(content), []byte(strings.ToLower(text))) {
			found = append(found, filepath.Base(name))
		}
	}
	return found
}

// reasons is the ledger: read = stored + repeated + refused, and the refused rows are those that it has reasons for.
func (m remembered) reasons() (sums map[string]int64) {
	m.t.Helper()
	sums = map[string]int64{}
	m.on(func(st *store.Store) {
		entries, err := st.Ledger(m.t.Context(), 0)
		if err != nil {
			m.t.Fatal(err)
		}
		for _, e := range entries {
			refused := int64(0)
			for reason, n := range e.Reasons {
				sums[reason] += n
				refused += n
			}
			sums["stored"] += e.Stored
			if e.Read != e.Stored+e.Repeated+e.Refused || refused != e.Refused {
				m.t.Errorf("out of balance: %+v", e)
			}
		}
	})
	return sums
}

func (m remembered) rows() (n int64) {
	for _, t := range records.Tables() {
		n += m.count("select count(*) from kept." + t.Name)
	}
	return n
}

func TestForgetTransport(t *testing.T) {
	m := newRemembered(t)
	m.mustLoad()
	if len(m.holds("RUN-77")) == 0 {
		t.Fatal("the store holds nothing to forget")
	}
	done := m.forget(pipeline.Forgetting{Transport: "RUN-77"})
	// Of the readings 11:00 lies in its window and 13:10 nearer to it than to the next transport.
	want := map[string]int64{"transports": 2, "events": 1, "readings": 2, "carried": 1}
	if fmt.Sprint(done.Rows) != fmt.Sprint(want) || done.Transports != 1 || done.Refused != 2 {
		t.Errorf("%+v, want %v and 2 refused", done, want)
	}
	if found := m.holds("RUN-77"); found != nil {
		t.Errorf("bytes left in %v", found)
	}
	if m.holds("KEY-Quercus") == nil || m.count("select count(*) from kept.readings") != 2 || m.count("select count(*) from kept.transports") != 2 {
		t.Error("rows of others are gone")
	}
	before := m.reasons()
	if before["forgotten"] != 8 || before["stored"] != m.rows() {
		t.Errorf("ledger %v, %d rows are there", before, m.rows())
	}
}

// What is loaded again is refused, device rows that name nobody too, and nothing else changes.
func TestForgottenDoesNotComeBack(t *testing.T) {
	m := newRemembered(t)
	m.mustLoad()
	m.forget(pipeline.Forgetting{Transport: "RUN-77"})
	rows := m.rows()
	m.mustLoad()
	if got := m.rows(); got != rows {
		t.Errorf("%d rows after loading again, %d before", got, rows)
	}
	if n := m.count("select count(*) from kept.readings where recorded_at < timestamp '2026-01-05 13:30:00'"); n != 0 {
		t.Errorf("%d readings came back", n)
	}
	if found := m.holds("RUN-77"); found != nil {
		t.Errorf("it came back into %v", found)
	}
	if got := m.reasons(); got["forgotten"] != 16 {
		t.Errorf("ledger %v: want 8 refused twice", got)
	}
	fresh := newRemembered(t)
	fresh.on(func(st *store.Store) {
		if _, err := pipeline.Forget(t.Context(), st, pipeline.Forgetting{Transport: "RUN-77", Key: fresh.key, Now: time.Unix(0, 0)}); err != nil {
			t.Fatal(err)
		}
	})
	fresh.mustLoad()
	if n := fresh.count("select count(*) from kept.transports where transport_id = 'RUN-77'"); n != 0 || fresh.holds("RUN-77") != nil {
		t.Errorf("a name that was forgotten before anything was loaded: %d rows", n)
	}
}

func TestForgetPatient(t *testing.T) {
	m := newRemembered(t)
	m.mustLoad()
	done := m.forget(pipeline.Forgetting{Patient: "KEY-Quercus"})
	if done.Transports != 2 || done.Rows["transports"] != 3 {
		t.Errorf("%+v", done)
	}
	for _, text := range []string{"KEY-Quercus", "RUN-77", "RUN-79"} {
		if found := m.holds(text); found != nil {
			t.Errorf("%s is left in %v", text, found)
		}
	}
	m.write("transports-new.csv", "transport_id,patient_key", "RUN-90,KEY-Quercus", "RUN-91,KEY-Fagus")
	m.write("events-new.csv", "event_id,transport_id,kind", "E90,RUN-90,other", "E91,RUN-91,other")
	m.mustLoad()
	if n := m.count("select count(*) from kept.events where event_id in ('E90', 'E91')"); n != 1 {
		t.Errorf("%d events, want that of RUN-91 alone", n)
	}
	if n := m.count("select count(*) from kept.transports"); n != 2 {
		t.Errorf("%d transports, want RUN-78 and RUN-91", n)
	}
}

// A name that stands in texts by chance takes nothing with it but its own rows.
func TestForgetShortName(t *testing.T) {
	m := newRemembered(t)
	m.write("transports.csv", "transport_id,vehicle,accepted_at", "7,ground,2026-01-05 10:00", "8,ground,2026-01-06 10:00")
	m.write("readings.csv", "device_id,recorded_at,quantity,value,unit", "V1,2026-01-05 11:00,spo2,7,furlong")
	m.write("events.csv", "event_id,transport_id,kind,harm,narrative", "E1,8,other,mild,after 7 min", "E2,7,nonsense,mild,x", "E3,8,nonsense,mild,7")
	m.mustLoad()
	for range 2 {
		m.forget(pipeline.Forgetting{Transport: "7"})
		if got := m.reasons(); got["unknown_unit"] == 0 || got["unknown_code"] == 0 {
			t.Errorf("refused rows of others are gone: %v", got)
		}
		if n := m.count("select count(*) from kept.events where narrative = 'after 7 min'"); n != 1 {
			t.Errorf("%d narratives, want that of transport 8", n)
		}
		if n := m.count("select count(*) from ledger.refused_rows where cells[2] = '7'"); n != 0 {
			t.Errorf("%d refused rows of transport 7 are left", n)
		}
		m.mustLoad()
	}
}

// Until the file is rewritten the store says so; rewriting twice does no harm, and what a killed one left behind goes.
func TestInterruptedForgetting(t *testing.T) {
	m := newRemembered(t)
	m.mustLoad()
	pending := func() (is bool) {
		m.on(func(st *store.Store) {
			var err error
			if _, _, is, err = st.Forgettings(t.Context()); err != nil {
				t.Fatal(err)
			}
		})
		return is
	}
	m.on(func(st *store.Store) {
		if _, err := pipeline.Forget(t.Context(), st, pipeline.Forgetting{Transport: "RUN-77", Key: m.key, Now: time.Unix(0, 0)}); err != nil {
			t.Fatal(err)
		}
	})
	if !pending() {
		t.Error("nothing says that the file must be rewritten")
	}
	if err := os.WriteFile(m.path+".rewritten", []byte("half a copy of RUN-77"), 0o600); err != nil {
		t.Fatal(err)
	}
	cancelled, cancel := context.WithCancel(t.Context())
	cancel()
	if err := store.Rewrite(cancelled, m.path, store.Options{}); err == nil {
		t.Error("an interrupted rewriting is no success")
	}
	rows := m.rows()
	for range 2 {
		if err := store.Rewrite(t.Context(), m.path, store.Options{Threads: 1}); err != nil {
			t.Fatal(err)
		}
	}
	if m.holds("RUN-77") != nil || m.rows() != rows {
		t.Errorf("left in %v; %d rows, want %d", m.holds("RUN-77"), m.rows(), rows)
	}
	info, err := os.Stat(m.path)
	if err != nil || info.Mode()&0o077 != 0 {
		t.Errorf("%v, %v: others can read it", info, err)
	}
	m.on(func(st *store.Store) {
		if err := st.Rewritten(t.Context()); err != nil {
			t.Fatal(err)
		}
	})
	if pending() {
		t.Error("it is rewritten")
	}
}

// A forgetting that fails changes nothing; without the key, or with another, nothing is loaded.
func TestForgettingNeedsItsKey(t *testing.T) {
	m := newRemembered(t)
	m.mustLoad()
	rows := m.rows()
	m.on(func(st *store.Store) {
		for _, f := range []pipeline.Forgetting{{Key: m.key}, {Transport: "RUN-77", Patient: "KEY-Quercus", Key: m.key}, {Transport: "RUN-77"}} {
			if _, err := pipeline.Forget(t.Context(), st, f); err == nil {
				t.Errorf("%+v was taken", f)
			}
		}
	})
	if m.rows() != rows {
		t.Error("rows went")
	}
	m.forget(pipeline.Forgetting{Transport: "RUN-77"})
	rows = m.rows()
	m.key = []byte(strings.Repeat("x", 32))
	if err := m.load(); err == nil || !strings.Contains(err.Error(), "key file") || m.rows() != rows {
		t.Errorf("%v, %d rows", err, m.rows())
	}
}
