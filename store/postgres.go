package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

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
		var written bool
		err = d.db.RunInTx(ctx, &sql.TxOptions{}, func(ctx context.Context, tx bun.Tx) error {
			err := do(ctx, tx)
			written = err == nil
			return err
		})
		if written && unsure(err) {
			return fmt.Errorf("%w (%w)", ErrUnsure, err)
		}
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

// unsure says of a COMMIT's error that the database may have carried it out: the answer never
// came, or the server ended the connection (SQLSTATE classes 08 and 57), which it may do
// when the transaction has reached its disk. Any other answer of the server is a refusal. The
// driver's own word that nothing was sent does not hold here: it gives it of a lost answer too.
func unsure(err error) bool {
	var pg *pgconn.PgError
	switch {
	case err == nil, errors.Is(err, pgx.ErrTxCommitRollback):
		return false
	case errors.As(err, &pg):
		return strings.HasPrefix(pg.Code, "08") || strings.HasPrefix(pg.Code, "57")
	}
	return true
}

func (direct) expect() func() { return func() {} }

func (direct) close() error { return nil }
