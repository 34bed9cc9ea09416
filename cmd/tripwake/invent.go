package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"tripwake/pipeline/invent"
)

func (a *app) inventRecords() *cobra.Command {
	o := invent.Options{}
	var out string
	var canonical bool
	cmd := &cobra.Command{
		Use:   "invent --out DIR",
		Short: "Write invented exports of an invented team, in several dialects, with a layout beside them",
		Args:  noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if out == "" {
				return usage(errors.New("--out: name the folder for the invented exports"))
			}
			if err := inventable(o); err != nil {
				return usage(err)
			}
			o.TimeZone, o.Shaped = a.inventedZone(), !canonical
			summary, err := invent.Write(cmd.Context(), out, o)
			if err != nil {
				return err
			}
			for _, file := range summary.Files {
				fmt.Fprintln(a.out, file)
			}
			by := ""
			if o.Shaped {
				by = " --layout " + filepath.Join(out, invent.LayoutName)
			}
			a.say("the times in these files are local to %[1]s: tripwake load %[2]s%[3]s --time-zone %[1]s", o.TimeZone, out, by)
			return nil
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder for the exports")
	cmd.Flags().BoolVar(&canonical, "canonical", false, "all exports under canonical names, which need no layout")
	cmd.Flags().IntVar(&o.Transports, "transports", 1080, "how many transports")
	cmd.Flags().IntVar(&o.Months, "months", 18, "over how many months, from January 2025")
	cmd.Flags().DurationVar(&o.Every, "every", 10*time.Second, "time between two readings")
	cmd.Flags().Uint64Var(&o.Seed, "seed", 1, "the same seed gives the same files")
	return cmd
}

// inventable refuses what would be taken for a default, or for what nobody can write.
func inventable(o invent.Options) error {
	switch {
	case o.Transports < 1:
		return fmt.Errorf("--transports: expected 1 or more, got %d", o.Transports)
	case o.Months < 1 || o.Months > invent.MostMonths:
		return fmt.Errorf("--months: expected 1 to %d, got %d", invent.MostMonths, o.Months)
	case o.Every < time.Second || o.Every%time.Second != 0:
		return fmt.Errorf("--every: expected whole seconds, 1s or more, got %s", o.Every)
	}
	return nil
}

// demoZone is the zone of the invented team where none is set.
const demoZone = "America/Chicago"

func (a *app) inventedZone() string {
	for _, s := range a.settings.origins {
		if s.Key == "time_zone" && s.From != "default" {
			return s.Value
		}
	}
	return demoZone
}
