package main

import (
	"cmp"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tripwake/queries/measures"
)

func (a *app) showSettings() *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:   "settings",
		Short: "Show the settings in force and where each came from",
		Long:  "Shows the settings in force, each with its meaning and where it came from, as text that can be kept as " + settingsFile + ".",
		Args:  noArguments,
		RunE: func(*cobra.Command, []string) error {
			switch format {
			case "yaml":
				return a.settingsYAML()
			case "csv":
				return a.settingsCSV()
			case "json":
				return a.settingsJSON()
			}
			return usage(fmt.Errorf("--format %q: expected yaml, csv or json", format))
		},
	}
	cmd.Flags().StringVar(&format, "format", "yaml", "yaml, csv or json")
	return cmd
}

func (a *app) settingsYAML() error {
	for _, o := range a.settings.origins {
		value, _ := json.Marshal(o.Value) // a JSON string is a YAML string
		switch {
		case o.Key == "cylinder_factors":
			value = []byte("{" + strings.ReplaceAll(strings.ReplaceAll(o.Value, ", ", ","), " ", ": ") + "}")
		case o.Key == "rebaseline" || o.Key == "candidates":
			value = []byte(cmp.Or(o.Value, "[]")) // JSON is YAML
		case slices.Contains(structured, o.Key) && json.Valid([]byte(o.Value)):
			value = []byte(o.Value)
		}
		if _, err := fmt.Fprintf(a.out, "# %s (from %s)\n%s: %s\n", o.Comment, o.From, o.Key, value); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) settingsCSV() error {
	w := csv.NewWriter(a.out)
	rows := [][]string{{"key", "value", "from", "comment"}}
	for _, o := range a.settings.origins {
		rows = append(rows, []string{o.Key, measures.Defuse(o.Value), o.From, o.Comment})
	}
	return w.WriteAll(rows)
}

func (a *app) settingsJSON() error {
	e := json.NewEncoder(a.out)
	for _, o := range a.settings.origins {
		if err := e.Encode(o); err != nil {
			return err
		}
	}
	return nil
}
