package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"

	"github.com/pressly/goose/v3"
)

//go:embed migrations/*.sql
var migrations embed.FS

// migrate brings the tables up to a version; -1 is the newest. A database that a
// newer program has migrated is refused rather than guessed at.
func migrate(ctx context.Context, db *sql.DB, d goose.Dialect, to int64, options ...goose.ProviderOption) error {
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(d, db, files, append(options, goose.WithVerbose(false))...)
	if err != nil {
		return err
	}
	all := p.ListSources()
	newest := all[len(all)-1].Version
	if has, err := p.GetDBVersion(ctx); err == nil && has > newest {
		return fmt.Errorf("the data were written by a newer program (tables %d, this program knows %d): use that one", has, newest)
	}
	if to < 0 {
		to = newest
	}
	if _, err = p.UpTo(ctx, to); err == nil || meaning(err) != nil || errors.Is(err, context.Canceled) {
		return err
	}
	return fmt.Errorf("%w (%w)", ErrTables, err)
}
