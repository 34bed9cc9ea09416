package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// Engine runs statements in the store: on its connection, each by itself, or inside one transaction.
type Engine struct {
	ctx context.Context
	run runner
}

// runner is what *sql.DB and *sql.Tx have in common.
type runner interface {
	ExecContext(ctx context.Context, text string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, text string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, text string, args ...any) *sql.Row
}

// Engine runs statements each by itself.
func (s *Store) Engine(ctx context.Context) Engine { return Engine{ctx, s.db} }

// Update runs change inside one transaction: after an error, or when the process dies, the store is as before.
func (s *Store) Update(ctx context.Context, change func(Engine) error) error {
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("store %s: begin: %w", s.path, err)
	}
	if err := change(Engine{ctx, tx}); err != nil {
		return errors.Join(err, rollback(tx))
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("store %s: could not be written: %w; it is as before", s.path, err)
	}
	return nil
}

// rollback passes over a transaction that a cancelled context has ended already.
func rollback(tx *sql.Tx) error {
	if err := tx.Rollback(); err != nil && !errors.Is(err, sql.ErrTxDone) {
		return fmt.Errorf("undoing the load: %w", err)
	}
	return nil
}

// Exec runs statements in turn and gives the number of rows that the last of them changed. Empty texts are passed over.
func (e Engine) Exec(texts ...string) (changed int64, err error) {
	for _, text := range texts {
		if text == "" {
			continue
		}
		if changed, err = e.exec(text); err != nil {
			return 0, err
		}
	}
	return changed, nil
}

// ExecAsWritten runs a statement whose joins are held as they are written, the right side in memory: the engine takes a file that it
// reads for a few hundred rows, and would hold all of its rows to look up a few. After an error call EndAsWritten once the transaction has ended.
func (e Engine) ExecAsWritten(text string) (changed int64, err error) {
	if _, err := e.exec("set disabled_optimizers = 'join_order,build_side_probe_side'"); err != nil {
		return 0, err
	}
	if changed, err = e.exec(text); err != nil {
		return 0, err
	}
	return changed, e.EndAsWritten()
}

// EndAsWritten lets the engine choose the sides of joins again.
func (e Engine) EndAsWritten() error {
	_, err := e.exec("reset disabled_optimizers")
	return err
}

func (e Engine) exec(text string, args ...any) (int64, error) {
	result, err := e.run.ExecContext(e.ctx, text, args...)
	if err != nil {
		return 0, fmt.Errorf("engine: %w", err)
	}
	return result.RowsAffected()
}

// Ask reads the one row that a question has for an answer.
func (e Engine) Ask(text string, into ...any) error {
	if err := e.run.QueryRowContext(e.ctx, text).Scan(into...); err != nil {
		return fmt.Errorf("engine: %w", err)
	}
	return nil
}

// Numbers reads the one column of whole numbers that a question has for an answer.
func (e Engine) Numbers(text string) ([]int64, error) {
	rows, err := e.run.QueryContext(e.ctx, text)
	if err != nil {
		return nil, fmt.Errorf("engine: %w", err)
	}
	defer rows.Close()
	var all []int64
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			return nil, fmt.Errorf("engine: %w", err)
		}
		all = append(all, n)
	}
	return all, rows.Err()
}
