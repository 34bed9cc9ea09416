package main

import (
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"tripwake/pipeline/invent"
)

func (a *app) inventRecords() *cobra.Command {
	o := invent.Options{}
	var out string
	cmd := &cobra.Command{
		Use:   "invent --out DIR",
		Short: "Write invented exports of an invented team",
		Args:  noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if out == "" {
				return usage(errors.New("--out: name the folder for the invented exports"))
			}
			o.TimeZone = a.inventedZone()
			summary, err := invent.Write(cmd.Context(), out, o)
			if err != nil {
				return err
			}
			for _, file := range summary.Files {
				fmt.Fprintln(a.out, file)
			}
			a.say("the times in these files are local to %s: load them with --time-zone %s", o.TimeZone, o.TimeZone)
			return nil
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder for the exports")
	cmd.Flags().IntVar(&o.Transports, "transports", 1080, "how many transports")
	cmd.Flags().IntVar(&o.Months, "months", 18, "over how many months, from January 2025")
	cmd.Flags().DurationVar(&o.Every, "every", 10*time.Second, "time between two readings")
	cmd.Flags().Uint64Var(&o.Seed, "seed", 1, "the same seed gives the same files")
	return cmd
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
