package store_test

import (
	"database/sql"
	"testing"

	"github.com/pressly/goose/v3"

	"coilwright/store"
)

func TestStepsPostgres(t *testing.T) {
	db, err := sql.Open("pgx", postgres.database(t))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	store.StepThrough(t, db, goose.DialectPostgres)
}
