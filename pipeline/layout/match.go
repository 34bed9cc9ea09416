package layout

import (
	"path"
	"slices"
	"strings"
)

// Matches says that a file's name is one that the source reads: its path below the folder that is loaded, of which the last part
// is held against the pattern, or as many parts as the pattern has. The case of the extension does not matter, nor does .gz.
func (s Source) Matches(name string) bool {
	parts := strings.Split(name, "/")
	n := strings.Count(s.Files, "/") + 1
	if n > len(parts) {
		return false
	}
	name = strings.Join(parts[len(parts)-n:], "/")
	return matches(s.Files, name) || matches(s.Files, withoutZip(name))
}

func withoutZip(name string) string {
	if strings.EqualFold(path.Ext(name), ".gz") {
		return name[:len(name)-len(".gz")]
	}
	return name
}

func matches(pattern, name string) bool {
	ok, err := path.Match(lowerExtension(pattern), lowerExtension(name))
	return ok && err == nil
}

func lowerExtension(name string) string {
	ext := path.Ext(name)
	return strings.TrimSuffix(name, ext) + strings.ToLower(ext)
}

// Headers lists every header that the source reads, each once.
func (s Source) Headers() []string {
	var all []string
	add := func(header string) {
		if !slices.Contains(all, header) {
			all = append(all, header)
		}
	}
	for _, c := range slices.Concat(s.Columns, s.Quantities) {
		for _, header := range c.From {
			add(header)
		}
	}
	if s.Where != nil {
		add(s.Where.Column)
	}
	return all
}
