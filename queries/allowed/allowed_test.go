package allowed

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// tree wraps a part of a parse as the engine gives it.
func tree(node string) []byte {
	return fmt.Appendf(nil, `{"error":false,"statements":[{"node":%s,"named_param_map":[]}]}`, node)
}

func table(schema, name string) string {
	return fmt.Sprintf(`{"type":"BASE_TABLE","alias":"","schema_name":%q,"table_name":%q,"catalog_name":"","at_clause":null}`, schema, name)
}

func selectFrom(from string) string {
	return `{"type":"SELECT_NODE","modifiers":[],"cte_map":{"map":[]},"select_list":[],"from_table":` + from + `}`
}

// A part of a parse that is not known is refused, wherever it stands: a newer engine may have more of them.
func TestUnknownPartsAreRefused(t *testing.T) {
	for name, node := range map[string]string{
		"table":             selectFrom(table("", "secret")),
		"schema":            selectFrom(table("kept", "trips")),
		"new kind of table": selectFrom(`{"type":"NEW_REF","table_name":"trips"}`),
		"new expression":    selectFrom(`{"type":"SUBQUERY","x":{"class":"NEW","type":"NEW"}}`),
		"function":          selectFrom(`{"type":"SUBQUERY","x":{"class":"FUNCTION","type":"FUNCTION","function_name":"getenv","schema":"","catalog":""}}`),
		"catalog":           selectFrom(`{"type":"SUBQUERY","x":{"class":"FUNCTION","type":"FUNCTION","function_name":"sum","schema":"","catalog":"x"}}`),
		"window":            selectFrom(`{"type":"SUBQUERY","x":{"class":"WINDOW","type":"WINDOW_NEW","function_name":"new","schema":"","catalog":""}}`),
		"table function":    selectFrom(`{"type":"TABLE_FUNCTION","function":{"class":"FUNCTION","function_name":"read_csv"}}`),
		"no function":       selectFrom(`{"type":"TABLE_FUNCTION"}`),
		"parameter":         selectFrom(`{"type":"SUBQUERY","x":{"class":"PARAMETER","type":"VALUE_PARAMETER"}}`),
		"show":              selectFrom(`{"type":"SHOW_REF","query":null,"table_name":"tables"}`),
		"nameless":          `{"type":"CTE_NODE","child":{}}`,
		"alike":             selectFrom(table("", "tr\u0131ps")),
		"time travel":       selectFrom(`{"type":"BASE_TABLE","schema_name":"","table_name":"trips","catalog_name":"","at_clause":{}}`),
	} {
		if names, err := Check(tree(node), []string{"trips"}); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, %v", name, names, err)
		}
	}
}

// A name of WITH is seen after it and in the recursive part, never in itself or before the UNION.
func TestScope(t *testing.T) {
	cte := func(name, query, child string) string {
		return fmt.Sprintf(`{"type":"CTE_NODE","cte_name":%q,"query":%s,"child":%s}`, name, query, child)
	}
	recursive := func(name, left, right string) string {
		return fmt.Sprintf(`{"type":"RECURSIVE_CTE_NODE","cte_name":%q,"left":%s,"right":%s}`, name, left, right)
	}
	w, trips := selectFrom(table("", "w")), selectFrom(table("", "TRIPS"))
	for name, c := range map[string]struct {
		node string
		ok   bool
	}{
		"after":            {cte("w", trips, w), true},
		"in itself":        {cte("w", w, trips), false},
		"beside":           {selectFrom(`{"type":"JOIN","left":{"type":"SUBQUERY","subquery":{"node":` + cte("w", trips, trips) + `}},"right":` + table("", "w") + `}`), false},
		"recursive part":   {cte("w", recursive("w", trips, w), w), true},
		"before the union": {cte("w", recursive("w", w, w), w), false},
		"inside a part":    {cte("w", trips, selectFrom(`{"type":"SUBQUERY","subquery":{"node":`+w+`}}`)), true},
	} {
		names, err := Check(tree(c.node), []string{"trips"})
		if (err == nil) != c.ok || c.ok && !slices.Equal(names, []string{"trips"}) {
			t.Errorf("%s: %v, %v", name, names, err)
		}
	}
}

func TestWhatIsNoStatement(t *testing.T) {
	for _, text := range []string{`{`, `{"error":true,"error_type":"not implemented"}`, `{"statements":[]}`, `{"statements":[{},{}]}`} {
		if _, err := Check([]byte(text), nil); err == nil {
			t.Errorf("%s: was allowed", text)
		}
	}
	if _, err := Check([]byte(`{"error":true,"error_type":"parser","error_message":"near x"}`), nil); err == nil || err.Error() != "near x" {
		t.Errorf("a parser's error: %v", err)
	}
}

// The list holds each function once and none that tells of the session, runs a text or writes.
func TestFunctions(t *testing.T) {
	names := Functions()
	if len(slices.Compact(slices.Clone(names))) != len(names) {
		t.Error("a function is listed twice")
	}
	for _, name := range names {
		for _, part := range []string{"current_", "setting", "getenv", "query", "sql", "pg_", "privilege", "read_", "glob", "write", "nextval", "variable", "txid", "random", "version"} {
			if strings.Contains(name, part) {
				t.Errorf("%s is on the list", name)
			}
		}
	}
}
