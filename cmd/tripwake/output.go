package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

var formats = []string{"table", "csv", "json"}

func addFormat(cmd *cobra.Command, format *string) {
	cmd.Flags().StringVar(format, "format", "table", "table, csv or json")
}

func checkFormat(format string) error {
	if slices.Contains(formats, format) {
		return nil
	}
	return usage(fmt.Errorf("--format %q: expected %s", format, strings.Join(formats, ", ")))
}

func noArguments(_ *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usage(fmt.Errorf("%q: the command takes no argument", args[0]))
	}
	return nil
}

func needArguments(what string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) == 0 {
			return usage(errors.New("missing " + what))
		}
		return nil
	}
}
