package store

import (
	"context"
	"fmt"

	"github.com/marcboeker/go-duckdb/v2"
)

// TableNames asks the engine which tables a statement names, with their schemas as far as they are written; names of its own
// WITH are not among them.
func (s *Store) TableNames(ctx context.Context, text string) ([]string, error) {
	conn, err := s.db.Conn(ctx)
	if err != nil {
		return nil, fmt.Errorf("engine: %w", err)
	}
	defer conn.Close()
	names, err := duckdb.GetTableNames(conn, text, true)
	if err != nil {
		return nil, fmt.Errorf("engine: %w", err)
	}
	return names, nil
}
