// Command tripwake looks back at finished patient transports: it loads CSV exports into a store, answers measures about
// them and writes the committee's report.
//
// In: command line, settings file, environment. Out: answers on standard output, messages and progress on standard
// error, an exit code: 0 done, 1 failed, 2 wrong use, 3 done but rows were refused (only with --strict).
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"tripwake/pipeline/store"
	"tripwake/queries/measures"
)

// version is set at build time (-ldflags "-X main.version=…").
var version = "development"

// The exit codes.
const (
	exitFailed  = 1
	exitUsage   = 2
	exitRefused = 3
)

// exitError is an error that ends the program with a code of its own.
type exitError struct {
	code int
	err  error
}

func (e exitError) Error() string { return e.err.Error() }
func (e exitError) Unwrap() error { return e.err }

// usage marks an error as wrong use of the command line or the settings.
func usage(err error) error {
	if err == nil {
		return nil
	}
	return exitError{exitUsage, err}
}

func main() {
	ignoreFileLimit()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:])
	stop()
	os.Exit(code)
}

// run carries out one command line and gives the exit code. An error is one line on standard error.
func run(ctx context.Context, args []string) int {
	a := &app{out: os.Stdout, messages: os.Stderr}
	root := a.root()
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return 0
	}
	fmt.Fprintln(a.messages, "tripwake: "+oneLine(a.plain(err)))
	var own exitError
	switch {
	case errors.As(err, &own):
		return own.code
	case !a.started:
		return exitUsage
	}
	return exitFailed
}

// plain is the text of an error for people: of a damaged store it says what to do, since the engine names only a block.
func (a *app) plain(err error) string {
	if store.Damaged(err) {
		return fmt.Sprintf("store %s: the file is damaged; restore a copy of it, or load the exports into a new store", a.settings.store)
	}
	if before, _, short := strings.Cut(err.Error(), "Out of Memory Error"); short {
		return fmt.Sprintf("%sneeds more memory than the setting memory (%s) allows; raise it, such as with TRIPWAKE_MEMORY=4GB", strings.TrimSuffix(before, "engine: "), a.settings.engine.Memory)
	}
	return err.Error()
}

// flagError says of a flag's value what was expected, not how it was read.
func flagError(_ *cobra.Command, err error) error {
	for how, expected := range map[string]string{"Bool": "true or false", "Int": "a whole number", "Uint": "a whole number from 0"} {
		if before, _, found := strings.Cut(err.Error(), ": strconv.Parse"+how+":"); found {
			return usage(fmt.Errorf("%s: expected %s", before, expected))
		}
	}
	return usage(err)
}

func oneLine(text string) string { return measures.Visible(strings.Join(strings.Fields(text), " ")) }

// app is what the commands share: where they print, and the settings in force once a command has started.
type app struct {
	out      *os.File
	messages *os.File
	settings settings
	started  bool
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "tripwake",
		Short: "Look back at finished neonatal and paediatric patient transports",
		Long: "tripwake looks back at finished patient transports. It gives no advice for a patient under way; local protocol,\n" +
			"device instructions and licensed practice come first.",
		Version:       version,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetFlagErrorFunc(flagError)
	addSettingFlags(root.PersistentFlags())
	root.PersistentPreRunE = func(cmd *cobra.Command, _ []string) (err error) {
		a.settings, err = readSettings(cmd.Flags())
		if err != nil {
			return usage(err)
		}
		for _, name := range strangers() {
			a.say("%s: is no setting and was passed over; `tripwake settings` lists all", name)
		}
		a.started = true
		return nil
	}
	root.AddCommand(a.demo(), a.inventRecords(), a.draftLayout(), a.load(), a.ledger(), a.forget(), a.measure(), a.report(), a.extract(), a.query(),
		a.showSettings())
	return root
}

// say prints a message line for people.
func (a *app) say(format string, args ...any) {
	fmt.Fprintln(a.messages, measures.Visible(fmt.Sprintf(format, args...)))
}
