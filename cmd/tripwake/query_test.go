package main

import (
	"crypto/sha256"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// hostile are statements that try to reach what no documented view shows, or to change or set something. Each must be refused
// or fail, and leave the folder as it was.
var hostile = []string{
	// other tables, under every name that they have
	`select * from kept.transports`, `select patient_key from kept.transports`, `select * from tripwake.kept.transports`,
	`select * from "kept"."transports"`, `select * from "tripwake"."kept"."transports"`, `select * from ledger.refused_rows`,
	`select * from main.transports`, `select * from temp.transports`, `select * from temp.main.transports`, `select * from memory.main.x`,
	`select * from trips`, `select * from TRIPS`, `select * from "trips"`, `select * from facts`, `select * from answer`, `select * from zone_changes`,
	`table kept.transports`, `from kept.transports`, `from kept.transports select patient_key`,
	`select (select max(patient_key) from kept.transports)`, `select 1 where exists (select * from kept.transports)`,
	`select * from transports where transport_id in (select patient_key from kept.transports)`,
	`select * from transports order by (select max(patient_key) from kept.transports)`,
	`select * from transports limit (select count(*) from kept.transports)`,
	`select count(*) from transports group by (select max(patient_key) from kept.transports)`,
	`select count(*) over (order by (select 1 from kept.transports)) from transports`,
	`select 1 union all select patient_key from kept.transports`, `select 1 from transports join kept.transports k on true`,
	`select * from transports, lateral (select patient_key from kept.transports)`, `values ((select max(patient_key) from kept.transports))`,
	`select case when true then (select max(patient_key) from kept.transports) end`,
	`select list_transform([1], lambda x: (select max(patient_key) from kept.transports))`,
	`select * from (pivot kept.transports on vehicle in ('ground') using count(*))`, `unpivot kept.transports on patient_key`,
	`pivot transports on vehicle using count(*)`,
	`select * from transports positional join kept.transports`, `select * from (describe kept.transports)`, `describe kept.transports`,
	`summarize kept.transports`, `describe`, `show tables`, `show all tables`, `show databases`, `select * from (show tables)`,
	// names of WITH that the engine would not see where they are used
	`with kept as (select 1) select * from kept.transports`, `with trips as (select * from trips) select * from trips`,
	`with duckdb_tables as (select * from duckdb_tables) select * from duckdb_tables`,
	`with recursive trips as (select transport_id from trips union select 'x') select * from trips`,
	`with recursive trips(a) as (select transport_id from trips union all select a from trips) select * from trips`,
	`with a as (select * from trips), trips as (select 1) select * from a`, `select * from (with trips as (select 1) select 1), trips`,
	`select (with trips as (select 1) select 1) from trips`, `with a as materialized (select * from kept.transports) select * from a`,
	`with transports as (select * from kept.transports) select * from transports`,
	// the engine's own tables and functions
	`select * from information_schema.tables`, `select * from duckdb_tables()`, `select * from duckdb_tables`, `select * from duckdb_views()`,
	`select * from duckdb_settings()`, `select * from duckdb_secrets()`, `select * from sqlite_master`, `select * from pg_catalog.pg_tables`,
	`select * from pragma_table_info('kept.transports')`, `select * from pragma_storage_info('kept.transports')`, `select * from pragma_database_list`,
	`select getenv('HOME')`, `select current_setting('temp_directory')`, `select main.current_setting('temp_directory')`, `select current_query()`,
	`select getvariable('x')`, `select current_schemas(true)`, `select nextval('x')`, `select write_log('x')`, `select txid_current()`,
	`select json_serialize_sql('select 1')`, `select * from json_execute_serialized_sql(json_serialize_sql('select * from kept.transports'))`,
	`select * from query('select * from kept.transports')`, `select * from query_table('kept.transports')`, `select * from query_table(['trips'])`,
	`from query_table("kept.transports")`, `select * from held_readings('spo2')`, `select setting_oxygen_reserve()`, `select day_starts(date '2026-01-01')`,
	`select * from seq_scan('transports')`, `select * from which_secret('x', 's3')`, `select * from sniff_csv('x.csv')`, `select * from checkpoint()`,
	`select * from test_all_types()`, `select * from repeat_row(1, num_rows = 2)`, `call duckdb_tables()`, `select system.main.current_setting('home_directory')`,
	// files
	`select * from 'secret.csv'`, `select * from "secret.csv"`, `select * from read_csv('secret.csv')`, `select * from read_csv_auto('secret.csv')`,
	`select * from read_text('secret.csv')`, `select * from read_blob('secret.csv')`, `select * from glob('*')`, `select * from parquet_scan('secret.csv')`,
	`select * from read_parquet('secret.csv')`, `select * from read_json('secret.csv')`, `select * from '/etc/passwd'`, `from 'https://example.org/x.csv'`,
	`select * from transports, 'secret.csv'`, `select (select count(*) from 'secret.csv')`, `with x as (from 'secret.csv') from x`,
	`copy transports to 'stolen.csv'`, `copy (select 1) to 'stolen.csv'`, `copy kept.transports from 'secret.csv'`, `export database 'stolen'`,
	`attach 'stolen.duckdb'`, `attach 'stolen.duckdb' as x; select 1`, `import database 'stolen'`,
	// changes and settings
	`insert into kept.transports (transport_id) values ('x')`, `update kept.transports set team = 'x'`, `delete from kept.transports`,
	`drop table kept.transports`, `drop view transports`, `create table x as select 1`, `create temp table x as select 1`, `create view x as select 1`,
	`create macro f() as 1`, `create or replace temp view transports as select * from kept.transports`, `truncate kept.transports`, `alter table kept.transports drop team`,
	`set enable_external_access = true`, `set lock_configuration = false`, `set variable x = 1`, `reset lock_configuration`, `set schema = 'kept'`, `use kept`,
	`pragma database_list`, `pragma enable_profiling`, `pragma show_tables`, `install httpfs`, `load httpfs`, `checkpoint`, `vacuum`, `begin`, `commit`,
	`prepare x as select 1`, `execute x`, `deallocate x`, `explain select 1`, `explain analyze select * from transports`, `detach tripwake`,
	`create secret x (type s3)`, `merge into kept.transports using transports on true when matched then delete`,
	// several statements, comments, signs
	`select 1; select 2`, `select 1; drop table kept.transports`, `select 1;; copy (select 1) to 'stolen.csv'`, `;`, ``, ` `, `-- nothing`,
	"select 1 -- \n; delete from kept.transports", `/* select 1 */ delete from kept.transports`, `select $1`, `select ?`, `select $x`, `select 1 /*`,
	`select * from /**/kept/**/./**/transports`, "select * from kept\u00a0.transports", "select * from ｋｅｐｔ.transports", "select * from tran\u200bsports",
	"select * from chec\u212as", "select * from kept\x01.transports", `select * from U&"\0074rips"`, `select * from e'trips'`, `select * from $$trips$$`, `select * from "transports AS x".transports`, `select * from "transports x"`, `select * from "transports AS x"`,
	`select * from transports at (version => 1)`, `select * exclude (transport_id) from kept.transports`, `select columns('.*') from kept.transports`,
	`select transports.patient_key from transports`, `select patient_key from transports`, `select narrative from events`, `select rowid, patient_key from transports`,
	`select transports from transports where transports.patient_key is not null`, `select unnest(transports).patient_key from transports`,
	`select 1 as x with no data`, `select 1 into kept.x`, `select nonsense`, `selct 1`, `select (((((((`, `with recursive r(n) as (select 1 union all select n + 1 from r) select n from r`,
}

// queryPlace is a place with a store that holds a transport, with a key and a narrative that nothing may show.
func queryPlace(t *testing.T) *place {
	t.Helper()
	p := newPlace(t, "TRIPWAKE_TIME_ZONE=America/Chicago")
	p.write("in/transports.csv", "transport_id,patient_key,team,vehicle,accepted_at,departed_base_at,at_patient_at,handed_over_at,available_at\n"+
		"T1,SECRET-KEY,North,ground,2026-07-05 10:00,2026-07-05 10:20,2026-07-05 11:00,2026-07-05 13:00,2026-07-05 14:00\n"+
		"T2,SECRET-KEY,=1+1,rotor,2026-01-05 10:00,2026-01-05 10:40,,,\n")
	p.write("in/events.csv", "event_id,transport_id,kind,narrative\nE1,T1,other,SECRET-STORY\n")
	p.write("in/devices.csv", "device_id,kind,battery_endurance\nV1,ventilator,240\n")
	p.good("load", "in")
	p.write("secret.csv", "a\nSECRET-FILE\n")
	return p
}

func TestHostileQueries(t *testing.T) {
	p := queryPlace(t)
	p.env = append(p.env, "TRIPWAKE_QUERY_TIMEOUT=3s") // one of the statements has no end
	store := func() [32]byte { return sha256.Sum256([]byte(p.read(defaultStore))) }
	before, names := store(), p.names()
	for _, text := range hostile {
		got := p.run("query", text)
		if got.code != exitFailed && got.code != exitUsage {
			t.Errorf("%q: exit %d, want a refusal\n%s", text, got.code, got.out)
		}
		if strings.Count(got.messages, "\n") != 1 || !strings.HasPrefix(got.messages, "tripwake: ") || got.out != "" {
			t.Errorf("%q: expected one line on standard error and nothing else, got %q and %q", text, got.messages, got.out)
		}
		told := strings.ReplaceAll(got.messages, text, "")
		if strings.Contains(told, "SECRET") || strings.Contains(told, p.dir) || strings.Contains(told, defaultStore) {
			t.Errorf("%q: the message tells too much: %s", text, got.messages)
		}
		if store() != before {
			t.Fatalf("%q: changed the store", text)
		}
		if now := p.names(); !slices.Equal(now, names) {
			t.Fatalf("%q: files are %v, were %v", text, now, names)
		}
	}
	nested := "select 1 as a"
	for range 12 {
		nested = "with c as (" + nested + ") select * from c"
	}
	p.bad(exitUsage, "at most 7 WITH", "query", nested)
	if len(hostile) < 60 {
		t.Errorf("only %d hostile statements", len(hostile))
	}
}

// names lists every file of the place.
func (p *place) names() []string {
	p.t.Helper()
	var names []string
	for name := range p.files(".") {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func TestHonestQueries(t *testing.T) {
	p := queryPlace(t)
	for _, honest := range []struct{ text, want string }{
		{`select count(*) as n from transports`, "n\n2\n"},
		{`SELECT TRANSPORT_ID FROM "Transports" ORDER BY 1 DESC LIMIT 1;`, "transport_id\nT2\n"},
		{`select accepted_at, accepted_at_local from transports where transport_id = 'T1'`, "accepted_at,accepted_at_local\n2026-07-05 15:00:00,2026-07-05 10:00:00\n"},
		{`select local_time(accepted_at) as l from transports where transport_id = 'T2' -- a comment`, "l\n2026-01-05 10:00:00\n"},
		{`with a as (select transport_id from transports), b as (select * from a) select count(*) n from b join a using (transport_id)`, "n\n2\n"},
		{`with transports as (select 7 as x) select x from transports`, "x\n7\n"},
		{`with recursive r(n) as (select 1 union all select n + 1 from r where n < 5) select sum(n) as s from r`, "s\n15\n"},
		{`from transport_times select month, care_minutes order by month`, "month,care_minutes\n2026-01,\n2026-07,120.0\n"},
		{`select minutes from intervals where interval = 'mobilization_time' order by 1`, "minutes\n20.0\n40.0\n"},
		{`select x from measure_facts where measure = 'mobilization_time' order by x`, "x\n20.0\n40.0\n"},
		{`select team, -1 as m from transports order by team`, "team,m\n'=1+1,-1\nNorth,-1\n"},
		{`select t.x, row_number() over (order by x) as r from range(3) t(x) where x > 0`, "x,r\n1,1\n2,2\n"},
		{`select * from (pivot transports on vehicle in ('ground', 'rotor') using count(*) group by died_in_transit)`, "died_in_transit,ground,rotor\n,1,1\n"},
		{`select column_name from (describe devices) where column_name like 'k%'`, "column_name\nkind\n"},
		{`select quantile_cont(minutes, 0.5) as q from intervals where interval = 'mobilization_time'`, "q\n30.0\n"},
		{`select list_transform([1, 2], lambda x: x * 2) as l, [x + 1 for x in [1]] as k, {'a': 1}.a as s`, "l,k,s\n\"[2, 4]\",[2],1\n"},
		{`select case when 1 between 0 and 2 then date '2026-01-31' + interval 1 month end as d, extract(year from date '2026-01-01') as y, 'a' || 'b' as c`, "d,y,c\n2026-02-28 00:00:00,2026,ab\n"},
		{`select a.transport_id from transports a left join events e on e.transport_id = a.transport_id where e.kind is null`, "transport_id\nT2\n"},
		{`select file, table_name, stored from files order by file`, "file,table_name,stored\ndevices.csv,devices,1\nevents.csv,events,1\ntransports.csv,transports,2\n"},
		{`select count(*) as n from transports as t(a) tablesample 100% where a <> ''`, "n\n2\n"},
		{`select 1 as a, 2 as a`, "a,a_1\n1,2\n"},
		{`select 'kept.transports; drop table x' as t`, "t\nkept.transports; drop table x\n"},
		{`select transport_id from transports where false`, "transport_id\n"},
		{`select support_class('simv', 'tube') as c`, "c\ninvasive\n"},
		{`(select 1 as a) union all (select 2) order by a`, "a\n1\n2\n"},
		{`values (1, 'x')`, "col0,col1\n1,x\n"},
		{`select count(distinct vehicle) filter (where team is not null) as n from transports having count(*) > 1`, "n\n2\n"},
	} {
		if got := p.run("query", honest.text, "--format", "csv"); got.code != 0 || got.out != honest.want || got.messages != "" {
			t.Errorf("%s: exit %d\n%s%s, want\n%s", honest.text, got.code, got.messages, got.out, honest.want)
		}
	}
	if got := p.good("query", `select 'a"b' as "x""y", null as n, 1.5::double as d, 'inf'::double as i, [1] as l, true as b`, "--format", "json"); got != `{"x\"y":"a\"b","n":null,"d":1.5,"i":"Infinity","l":[1],"b":true}`+"\n" {
		t.Errorf("json: %s", got)
	}
	if got := p.good("query", "summarize transports"); strings.Contains(got, "SECRET") || !strings.Contains(got, "vehicle") {
		t.Errorf("summarize: %s", got)
	}
}

// An answer of any length is printed whole in the formats for programs; the table for people stops, and says so.
func TestLongAnswers(t *testing.T) {
	p := queryPlace(t)
	const text = "select range as i from range(70000)"
	rows, err := csv.NewReader(strings.NewReader(p.good("query", text, "--format", "csv"))).ReadAll()
	if err != nil || len(rows) != 70001 || rows[70000][0] != "69999" || rows[20001][0] != "20000" {
		t.Errorf("%d rows, %v", len(rows), err)
	}
	got := p.run("query", text)
	if strings.Count(got.out, "\n") != shownRows+1 || got.messages != "the first 200 of 70000 rows are shown; --format csv or json prints all\n" {
		t.Errorf("table: %d lines, %q", strings.Count(got.out, "\n"), got.messages)
	}
}

// A question without end is ended by the clock, or by the user, in one line.
func TestEndlessQueries(t *testing.T) {
	p := queryPlace(t)
	const endless = "with recursive r(n) as (select 1 union all select n + 1 from r) select count(*) from r"
	p.env = append(p.env, "TRIPWAKE_QUERY_TIMEOUT=300ms")
	p.bad(exitFailed, "not answered within 300ms", "query", endless)
	p.bad(exitUsage, "setting query_timeout", "query", "select 1", "--query-timeout", "-1s")
	cmd := exec.Command(os.Args[0], "query", endless, "--query-timeout", "0")
	cmd.Dir, cmd.Env = p.dir, p.environment()
	var messages strings.Builder
	cmd.Stderr = &messages
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(500 * time.Millisecond)
	if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	_ = cmd.Wait()
	if cmd.ProcessState.ExitCode() != exitFailed || messages.String() != "tripwake: query: interrupted\n" {
		t.Errorf("interrupted: exit %d, %q", cmd.ProcessState.ExitCode(), messages.String())
	}
}

// Every documented view can be asked, has a meaning and every column a type; none shows a key or a narrative.
func TestViewsAreDocumented(t *testing.T) {
	p := queryPlace(t)
	views := map[string]int{}
	for _, line := range objects[viewColumnLine](t, p.good("query", "--views", "--format", "json")) {
		views[line.View]++
		if line.Type == "" || line.Column == "patient_key" || line.Column == "narrative" {
			t.Errorf("%+v", line)
		}
	}
	if len(views) < 25 {
		t.Errorf("%d views", len(views))
	}
	for name := range views {
		if got := p.good("query", "select * from "+name, "--format", "csv"); strings.Contains(got, "SECRET") {
			t.Errorf("%s shows what it must not: %s", name, got)
		}
	}
	if got := p.good("query", "--views", "legs"); !strings.Contains(got, "legs: One leg") || strings.Contains(got, "risk_index") {
		t.Errorf("one view: %s", got)
	}
	p.bad(exitUsage, `view "kept.transports"`, "query", "--views", "kept.transports")
	p.bad(exitUsage, "one statement", "query")
	p.bad(exitUsage, "one statement", "query", "select", "1")
	if got := p.good("query", "--functions"); !strings.Contains(got, "\nsum\n") || strings.Contains(got, "getenv") || strings.Contains(got, "current_setting") {
		t.Errorf("functions: %s", got)
	}
	if _, err := os.Stat(filepath.Join(p.dir, defaultStore+".wal")); err == nil {
		t.Error("a question left a log beside the store")
	}
}
