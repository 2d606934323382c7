package store

import (
	"context"
	"database/sql"
	"errors"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
	"github.com/uptrace/bun"
	"github.com/uptrace/bun/dialect/pgdialect"
)

// openPostgres opens a PostgreSQL database. Its server gathers commits by itself.
func openPostgres(ctx context.Context, name string) (*bun.DB, writer, error) {
	config, err := pgx.ParseConfig(name)
	if err != nil {
		return nil, nil, err
	}
	// bun writes values into the statement, so that no two are alike: to prepare
	// them would fill the server's memory.
	config.DefaultQueryExecMode = pgx.QueryExecModeSimpleProtocol
	if config.RuntimeParams["lock_timeout"] == "" {
		config.RuntimeParams["lock_timeout"] = "4s"
	}
	db := stdlib.OpenDB(*config)
	db.SetMaxOpenConns(24)
	db.SetMaxIdleConns(24)
	locker, err := lock.NewPostgresSessionLocker()
	if err != nil {
		return nil, nil, errors.Join(err, db.Close())
	}
	if err := migrate(ctx, db, goose.DialectPostgres, -1, goose.WithSessionLocker(locker)); err != nil {
		return nil, nil, errors.Join(err, db.Close())
	}
	b := bun.NewDB(db, pgdialect.New())
	return b, direct{b}, nil
}

// direct writes each save in a transaction of its own.
type direct struct{ db *bun.DB }

// tries is how often a save is tried that others' saves got in the way of.
const tries = 5

func (d direct) write(ctx context.Context, do func(context.Context, bun.Tx) error) error {
	ctx = context.WithoutCancel(ctx)
	var err error
	for range tries {
		err = d.db.RunInTx(ctx, &sql.TxOptions{}, do)
		var (
			pg   *pgconn.PgError
			back *turnedBack
		)
		if errors.As(err, &back) {
			return back.why
		}
		if !errors.As(err, &pg) || pg.Code != "40001" && pg.Code != "40P01" {
			break
		}
	}
	return explain(err)
}

func (direct) expect() func() { return func() {} }

func (direct) close() error { return nil }
