// Package allowed says whether a question that somebody wrote may be put to the store.
//
// In: the engine's own parse of the text, as JSON, and the names of the documented views. Out: the views that it names. It
// refuses what is not exactly one SELECT; every table but documented views and the question's own common table
// expressions, in the scope in which the engine sees them; every table function but three that make rows from nothing;
// every function that is not on its list; and every part of a parse that it does not know. A leaf: it never looks at
// the text, in which quotes, comments and letters that look alike could deceive it.
package allowed

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Check reads the parse of a text (json_serialize_sql of DuckDB) and gives the documented views that it names, sorted. The
// error is one line that names what is not allowed, and what is.
func Check(parse []byte, documented []string) ([]string, error) {
	var tree struct {
		Error      bool   `json:"error"`
		Kind       string `json:"error_type"`
		Message    string `json:"error_message"`
		Statements []any  `json:"statements"`
	}
	if err := json.Unmarshal(parse, &tree); err != nil {
		return nil, errors.New("the statement is nested too deeply to be checked; write it in a simpler way")
	}
	switch {
	case tree.Error && tree.Kind == "parser":
		return nil, errors.New(tree.Message)
	case tree.Error || len(tree.Statements) == 0:
		return nil, errors.New(oneSelect)
	case len(tree.Statements) > 1:
		return nil, fmt.Errorf("%s; got %d statements", oneSelect, len(tree.Statements))
	}
	c := &checker{documented: documented, used: map[string]bool{}}
	if err := c.any(tree.Statements[0], nil); err != nil {
		return nil, err
	}
	var names []string
	for _, name := range documented {
		if c.used[name] {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names, nil
}

const oneSelect = "expected exactly one SELECT (or WITH … SELECT, DESCRIBE or SUMMARIZE of a view), and nothing that changes or sets anything"

// scope lists the common table expressions that a part of the statement can see, nearest last.
type scope []string

func (s scope) with(name string) scope { return append(slices.Clone(s), lower(name)) }

type checker struct {
	documented []string
	used       map[string]bool
}

// any checks whatever stands at one place of the parse.
func (c *checker) any(part any, seen scope) error {
	switch part := part.(type) {
	case map[string]any:
		return c.object(part, seen)
	case []any:
		for _, one := range part {
			if err := c.any(one, seen); err != nil {
				return err
			}
		}
	}
	return nil
}

// object checks one object by its type; an object whose type is not known is refused.
func (c *checker) object(o map[string]any, seen scope) error {
	kind, typed := o["type"].(string)
	if class, ok := o["class"].(string); ok {
		return c.expression(class, o, seen)
	}
	if !typed {
		return c.fields(o, seen)
	}
	switch kind {
	case "CTE_NODE":
		return c.named(o, seen)
	case "RECURSIVE_CTE_NODE":
		return c.recursive(o, seen)
	case "BASE_TABLE":
		return c.table(o, seen)
	case "TABLE_FUNCTION":
		return c.tableFunction(o, seen)
	case "SHOW_REF":
		if o["query"] == nil {
			return fmt.Errorf("SHOW and DESCRIBE without a view: %s", allowedTables)
		}
	default:
		if !slices.Contains(plainTypes, kind) {
			return fmt.Errorf("%s: this kind of statement is not known to be harmless; write it as a plain SELECT", strings.ToLower(kind))
		}
	}
	return c.fields(o, seen)
}

// plainTypes are the parts of a SELECT that bring in nothing by themselves.
var plainTypes = []string{
	"SELECT_NODE", "SET_OPERATION_NODE",
	"EMPTY", "SUBQUERY", "JOIN", "EXPRESSION_LIST", "PIVOT", "COLUMN_DATA",
	"ORDER_MODIFIER", "LIMIT_MODIFIER", "LIMIT_PERCENT_MODIFIER", "DISTINCT_MODIFIER",
	"ORDER_DEFAULT", "ASCENDING", "DESCENDING", "INVALID",
	"DECIMAL_TYPE_INFO", "LIST_TYPE_INFO", "STRUCT_TYPE_INFO", "ARRAY_TYPE_INFO", "STRING_TYPE_INFO", "GENERIC_TYPE_INFO",
}

// fields checks every field of an object. The common table expressions of a node are seen by those after them and by the
// node, not by themselves.
func (c *checker) fields(o map[string]any, seen scope) error {
	if ctes, ok := o["cte_map"].(map[string]any); ok {
		var err error
		if seen, err = c.listed(ctes, seen); err != nil {
			return err
		}
	}
	for name, part := range o {
		if name == "cte_map" {
			continue
		}
		if err := c.any(part, seen); err != nil {
			return err
		}
	}
	return nil
}

func (c *checker) listed(ctes map[string]any, seen scope) (scope, error) {
	entries, _ := ctes["map"].([]any)
	for _, entry := range entries {
		pair, _ := entry.(map[string]any)
		name, ok := pair["key"].(string)
		if !ok {
			return nil, errors.New("a common table expression without a name")
		}
		if err := c.any(pair["value"], seen); err != nil {
			return nil, err
		}
		seen = seen.with(name)
	}
	return seen, nil
}

// named checks a node that gives a name to a query: the child sees the name, the query does not.
func (c *checker) named(o map[string]any, seen scope) error {
	name, ok := o["cte_name"].(string)
	if !ok {
		return errors.New("a common table expression without a name")
	}
	inner := map[string]scope{"child": seen.with(name)}
	return c.parts(o, seen, inner)
}

// recursive checks WITH RECURSIVE: the part after UNION sees the name, the part before does not.
func (c *checker) recursive(o map[string]any, seen scope) error {
	name, ok := o["cte_name"].(string)
	if !ok {
		return errors.New("a common table expression without a name")
	}
	return c.parts(o, seen, map[string]scope{"right": seen.with(name)})
}

// parts checks the fields of an object, some in a scope of their own.
func (c *checker) parts(o map[string]any, seen scope, inner map[string]scope) error {
	if ctes, ok := o["cte_map"].(map[string]any); ok {
		if _, err := c.listed(ctes, seen); err != nil {
			return err
		}
	}
	for field, part := range o {
		in := seen
		if own, ok := inner[field]; ok {
			in = own
		}
		if field == "cte_map" {
			continue
		}
		if err := c.any(part, in); err != nil {
			return err
		}
	}
	return nil
}

const allowedTables = "expected a documented view (`tripwake query --views` lists them) or a name of the question's own WITH"

// table allows a documented view or a common table expression in scope, by its bare name.
func (c *checker) table(o map[string]any, seen scope) error {
	name, _ := o["table_name"].(string)
	schema, _ := o["schema_name"].(string)
	catalog, _ := o["catalog_name"].(string)
	if schema != "" || catalog != "" {
		return fmt.Errorf("table %q: %s, without a schema before it", dotted(catalog, schema, name), allowedTables)
	}
	if o["at_clause"] != nil {
		return fmt.Errorf("table %q: AT is not allowed", name)
	}
	known := lower(name)
	switch {
	case slices.Contains(seen, known):
	case slices.Contains(c.documented, known):
		c.used[known] = true
	default:
		return fmt.Errorf("table %q: %s", name, allowedTables)
	}
	return c.fields(o, seen)
}

// tableFunction allows those that make rows from their arguments alone.
func (c *checker) tableFunction(o map[string]any, seen scope) error {
	f, _ := o["function"].(map[string]any)
	name, _ := f["function_name"].(string)
	if !slices.Contains(rowMakers, lower(name)) {
		return fmt.Errorf("table function %q: expected one of %s", name, strings.Join(rowMakers, ", "))
	}
	return c.fields(o, seen)
}

var rowMakers = []string{"generate_series", "range", "unnest"}

// expression checks one expression by its class; only functions on the list may be called.
func (c *checker) expression(class string, o map[string]any, seen scope) error {
	switch {
	case class == "FUNCTION" || class == "WINDOW":
		name, _ := o["function_name"].(string)
		schema, _ := o["schema"].(string)
		catalog, _ := o["catalog"].(string)
		if !slices.Contains([]string{"", "main", "pg_catalog"}, schema) || catalog != "" || !known(lower(name)) {
			return fmt.Errorf("function %q: is not among those that may be called; `tripwake query --functions` lists them", dotted(catalog, schema, name))
		}
	case class == "PARAMETER":
		return errors.New("a parameter ($1 or ?): write the value into the statement")
	case !slices.Contains(plainClasses, class):
		return fmt.Errorf("%s: this kind of expression is not known to be harmless", strings.ToLower(class))
	}
	return c.fieldsOfExpression(o, seen)
}

// fieldsOfExpression checks what is below an expression; its own type is told by its class.
func (c *checker) fieldsOfExpression(o map[string]any, seen scope) error {
	for name, part := range o {
		if name == "value" && o["class"] == "CONSTANT" {
			continue // a text of the user, never a part of the statement
		}
		if err := c.any(part, seen); err != nil {
			return err
		}
	}
	return nil
}

var plainClasses = []string{
	"BETWEEN", "CASE", "CAST", "COLLATE", "COLUMN_REF", "COMPARISON", "CONJUNCTION", "CONSTANT", "DEFAULT", "LAMBDA",
	"LAMBDA_REF", "OPERATOR", "POSITIONAL_REFERENCE", "STAR", "SUBQUERY", "TYPE",
}

// dotted writes a name with what stands before it, as far as anything does.
func dotted(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(part string) bool { return part == "" }), ".")
}

// lower lowers the letters that the engine lowers in names, and no others: of letters that look alike only the plain one is it.
func lower(name string) string {
	b := []byte(name)
	for i, ch := range b {
		if ch >= 'A' && ch <= 'Z' {
			b[i] = ch + 'a' - 'A'
		}
	}
	return string(b)
}
