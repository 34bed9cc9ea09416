package layout

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"go.yaml.in/yaml/v3"
)

// at is one place in the file: a node and the key that leads to it.
type at struct {
	*yaml.Node
	path string
}

// errorf is an error at a place: its line and key, then what was expected.
func (a at) errorf(format string, args ...any) error {
	where := fmt.Sprintf("line %d", a.Line)
	if a.path != "" {
		where += ", " + a.path
	}
	return fmt.Errorf("%s: %s", where, oneLine(fmt.Sprintf(format, args...)))
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// root reads the one document of a file.
func root(text []byte) (at, error) {
	d := yaml.NewDecoder(bytes.NewReader(text))
	var document, second yaml.Node
	if err := d.Decode(&document); err != nil {
		if errors.Is(err, io.EOF) {
			return at{}, errors.New("is empty; expected the key sources with a list of sources")
		}
		return at{}, fmt.Errorf("is no YAML: %s", oneLine(strings.TrimPrefix(err.Error(), "yaml: ")))
	}
	if err := d.Decode(&second); !errors.Is(err, io.EOF) {
		return at{}, errors.New("holds text after its one document; remove it, or the line --- before it")
	}
	if len(document.Content) != 1 {
		return at{}, errors.New("is empty; expected the key sources with a list of sources")
	}
	return at{document.Content[0], ""}.resolved(), nil
}

// resolved follows an alias to what it stands for.
func (a at) resolved() at {
	for n := 0; a.Kind == yaml.AliasNode && n < 8; n++ {
		a.Node = a.Alias
	}
	return a
}

// child is a node below this one.
func (a at) child(n *yaml.Node, key string) at {
	path := key
	if a.path != "" {
		path = a.path + "." + key
	}
	return at{n, path}.resolved()
}

// entry is one key of a mapping with its value.
type entry struct {
	key   string
	where at // of the key
	value at
}

// entries lists the keys of a mapping in order; expected says for people what should stand there. A key that stands twice is
// refused: a reader of YAML would take one of them in silence.
func (a at) entries(expected string) ([]entry, error) {
	if a.Kind != yaml.MappingNode {
		return nil, a.errorf("expected %s", expected)
	}
	seen := map[string]int{}
	var all []entry
	for i := 0; i+1 < len(a.Content); i += 2 {
		k := a.Content[i]
		if k.Kind != yaml.ScalarNode {
			return nil, at{k, a.path}.errorf("expected a plain text as key")
		}
		e := entry{k.Value, a.child(k, k.Value), a.child(a.Content[i+1], k.Value)}
		if first := seen[k.Value]; first > 0 {
			return nil, e.where.errorf("stands twice, first on line %d; remove one", first)
		}
		seen[k.Value] = max(k.Line, 1)
		all = append(all, e)
	}
	return all, nil
}

// text is a plain value; nothing at all is none.
func (a at) text(expected string) (string, error) {
	if a.Kind != yaml.ScalarNode || strings.TrimSpace(a.Value) == "" || a.Tag == "!!null" {
		return "", a.errorf("expected %s", expected)
	}
	return a.Value, nil
}

// items lists the members of a list; a value by itself is a list of one.
func (a at) items(expected string) ([]at, error) {
	switch {
	case a.Kind == yaml.ScalarNode:
		return []at{a}, nil
	case a.Kind != yaml.SequenceNode || len(a.Content) == 0:
		return nil, a.errorf("expected %s", expected)
	}
	var all []at
	for _, n := range a.Content {
		all = append(all, at{n, a.path}.resolved())
	}
	return all, nil
}

// texts is a plain value or a list of such.
func (a at) texts(expected string) ([]string, error) {
	items, err := a.items(expected)
	if err != nil {
		return nil, err
	}
	var all []string
	for _, item := range items {
		text, err := item.text(expected)
		if err != nil {
			return nil, err
		}
		all = append(all, text)
	}
	return all, nil
}

// cells is a text or a list of texts, each of which may be empty if it is written as "".
func (a at) cells() ([]string, error) {
	items, err := a.items("a text or a list of texts")
	if err != nil {
		return nil, err
	}
	var all []string
	for _, item := range items {
		if item.Kind != yaml.ScalarNode || item.Tag == "!!null" && item.Value == "" {
			return nil, item.errorf("expected a text; an empty cell is written \"\"")
		}
		all = append(all, strings.TrimSpace(item.Value))
	}
	return all, nil
}

// oneOf is a plain value among few.
func (a at) oneOf(choices []string) (string, error) {
	text, err := a.text("one of " + strings.Join(choices, ", "))
	if err != nil {
		return "", err
	}
	for _, c := range choices {
		if strings.EqualFold(c, text) {
			return c, nil
		}
	}
	return "", a.errorf("%q is none of %s", text, strings.Join(choices, ", "))
}

func (a at) isMapping() bool { return a.Kind == yaml.MappingNode }
func (a at) isScalar() bool  { return a.Kind == yaml.ScalarNode }

// code is what a text means: nothing at all, or null, means no value.
func (a at) code() string {
	if a.Tag == "!!null" {
		return ""
	}
	return strings.TrimSpace(a.Value)
}
