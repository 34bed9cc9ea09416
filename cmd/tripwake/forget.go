package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"

	"github.com/spf13/cobra"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
)

func (a *app) forget() *cobra.Command {
	var transport, patient string
	cmd := &cobra.Command{
		Use:   "forget --transport ID | --patient KEY",
		Short: "Erase a transport, or all transports of a patient, from the store",
		Long: "Erases every row of a transport, or of all transports of a patient: earlier versions of corrected rows, device rows that\n" +
			"were linked by device and time, and the text of refused rows that name it. The store file is then rewritten, so that no\n" +
			"byte of it is left there. Exports that are loaded again later have these rows refused as forgotten; keyed hashes of the\n" +
			"names, and the times of the devices, are kept for that, and the key file must be kept with the store.\n" +
			"Exports, reports and extracts that were written earlier, and copies of the store, are not touched: look for them yourself.",
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if (transport == "") == (patient == "") {
				return usage(errors.New("name either a transport with --transport or a patient with --patient"))
			}
			return a.runForget(cmd.Context(), a.settings.store, pipeline.Forgetting{Transport: transport, Patient: patient, Now: now()})
		},
	}
	cmd.Flags().StringVar(&transport, "transport", "", "transport_id to forget")
	cmd.Flags().StringVar(&patient, "patient", "", "patient_key whose transports to forget")
	return cmd
}

func (a *app) runForget(ctx context.Context, path string, f pipeline.Forgetting) error {
	if _, err := os.Stat(path); err != nil {
		return fmt.Errorf("store %s: no such file; name the store with --store", path)
	}
	done, err := a.eraseIn(ctx, path, f)
	if err != nil {
		return err
	}
	if err := a.finishForgetting(ctx, path); err != nil {
		return fmt.Errorf("%w; the rows are erased, but bytes of them may be left in the file: run the command again", err)
	}
	var rows int64
	for _, table := range slices.Sorted(maps.Keys(done.Rows)) {
		rows += done.Rows[table]
		fmt.Fprintf(a.out, "%s: %d rows erased\n", table, done.Rows[table])
	}
	a.say("%d transports forgotten, %d rows erased, the text of %d refused rows erased", done.Transports, rows, done.Refused)
	if rows == 0 && done.Refused == 0 {
		a.say("nothing of that name is stored; later loads will refuse it")
	}
	a.say("exports, reports and extracts written earlier, and copies of the store, are not touched")
	return nil
}

func (a *app) eraseIn(ctx context.Context, path string, f pipeline.Forgetting) (done pipeline.Forgot, err error) {
	st, err := store.Open(ctx, path, a.settings.engine)
	if err != nil {
		return done, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	if f.Key, err = a.forgetKey(ctx, st); err != nil {
		return done, err
	}
	return pipeline.Forget(ctx, st, f)
}

// forgetKey reads the key, or makes one where nothing was ever forgotten with another.
func (a *app) forgetKey(ctx context.Context, st *store.Store) ([]byte, error) {
	transports, patients, _, err := st.Forgettings(ctx)
	if err != nil {
		return nil, err
	}
	if transports+patients > 0 {
		return existingKey(a.keyFile(st.Path()))
	}
	return pseudonymKey(a.keyFile(st.Path()))
}

// existingKey reads the key and makes none: what was forgotten is known by the old one alone.
func existingKey(path string) ([]byte, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("key %s: no such file, and something was forgotten with it; restore the file, or name it with --key-file", path)
	}
	return pseudonymKey(path)
}

// finishForgetting rewrites the store where bytes of what was forgotten may be left in it, also after an interruption.
func (a *app) finishForgetting(ctx context.Context, path string) error {
	pending, err := a.onStore(ctx, path, func(st *store.Store) (bool, error) {
		_, _, pending, err := st.Forgettings(ctx)
		return pending, err
	})
	if err != nil || !pending {
		return err
	}
	if err := store.Rewrite(ctx, path, a.settings.engine); err != nil {
		return err
	}
	_, err = a.onStore(ctx, path, func(st *store.Store) (bool, error) { return true, st.Rewritten(ctx) })
	return err
}

func (a *app) onStore(ctx context.Context, path string, do func(*store.Store) (bool, error)) (answer bool, err error) {
	st, err := store.Open(ctx, path, a.settings.engine)
	if err != nil {
		return false, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	return do(st)
}
