package store

import (
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pressly/goose/v3"
)

// Each step of the tables, from the one before with data in it: what is put in
// before version n, and what must be there after.
var steps = []struct {
	to     int64
	before []string // put in before going to this version
	after  map[string]string
}{
	{1, nil, map[string]string{"SELECT count(*) FROM jobs": "0"}},
	{
		2,
		[]string{
			"INSERT INTO shops VALUES ('home', 'Shop', 1)",
			"INSERT INTO jobs VALUES ('j', 'home', 'T', 't', 'visit', 2, '{\"a\":1}', 'h', 4, 1, 2, 'Anna', 0)",
			"INSERT INTO events VALUES ('j', 1, 1, 'a', 'Anna', '', 'created', 'Begun', 0, '[]', '[]')",
			"INSERT INTO events VALUES ('j', 2, 2, 'a', 'Anna', '', 'change', 'x', 0, '[{}]', '[{}]')",
			"INSERT INTO snapshots VALUES ('j', 1, '{}')",
		},
		map[string]string{
			"SELECT document FROM jobs WHERE id = 'j'":       `{"a":1}`,
			"SELECT count(*) FROM events WHERE job = 'j'":    "2",
			"SELECT document FROM snapshots WHERE job = 'j'": "{}",
			"SELECT count(*) FROM accounts":                  "0",
		},
	},
	{
		3,
		[]string{
			"INSERT INTO accounts VALUES ('a', 'home', 'Anna', 'anna', 's', 1)",
			"INSERT INTO sessions VALUES ('t', 'AA==', 99)",
		},
		map[string]string{
			"SELECT secret FROM accounts WHERE name_key = 'anna'": "s",
			"SELECT data FROM sessions WHERE token = 't'":         "AA==",
			"SELECT revision FROM jobs WHERE id = 'j'":            "2",
			"SELECT count(*) FROM files":                          "0",
		},
	},
	{
		4,
		[]string{"INSERT INTO files VALUES ('home', 'j', 'added/a.jpg', 'j/x', 'image/jpeg', 3, 'h', 0, 1)"},
		map[string]string{
			"SELECT place FROM files WHERE name = 'added/a.jpg'": "j/x",
			"SELECT count(*) FROM offers":                        "0",
			"SELECT count(*) FROM offer_events":                  "0",
			"SELECT count(*) FROM invoices":                      "0",
		},
	},
	{
		5,
		[]string{
			"INSERT INTO offers VALUES ('o', 'home', 'j', 'offer', 'signed', 2, 'h', 9, '{}', '[]', '', 'd', '{}', '', 1, 'Anna')",
			"INSERT INTO invoices VALUES ('home', 7, 'j', 'o', 1, '{\"Number\":\"7\"}', 5, 6, 'by cheque')",
		},
		map[string]string{
			"SELECT body FROM invoices WHERE number = 7":       `{"Number":"7"}`,
			"SELECT paid_note FROM invoices WHERE paid_at = 6": "by cheque",
			"SELECT count(*) FROM books":                       "0",
			"SELECT count(*) FROM shop_files":                  "0",
			"SELECT count(*) FROM releases":                    "0",
			"SELECT count(*) FROM finished":                    "0",
			"SELECT count(*) FROM credits":                     "0",
		},
	},
	{
		6,
		[]string{"INSERT INTO offer_events VALUES ('o', 1, 5, 'sent', 'Anna', 'revision 2')"},
		map[string]string{
			"SELECT what FROM offer_events WHERE offer = 'o'": "revision 2",
			"SELECT count(*) FROM marks":                      "0",
			"SELECT count(*) FROM mark_heads":                 "0",
		},
	},
	{
		7,
		[]string{"INSERT INTO releases VALUES ('j', 1, 'home', 'A', 2, 'p', 5, 'Anna', 0)"},
		map[string]string{
			"SELECT pieces FROM releases WHERE job = 'j'": "p",
			"SELECT count(*) FROM words":                  "0",
		},
	},
	{
		8,
		[]string{
			"INSERT INTO words (job, number, shop, scheme, pieces, name, reason, revision, at, by_name) VALUES ('j', 1, 'home', 'A', 'p', 'Anna', 'r', 2, 5, 'Anna')",
			"INSERT INTO jobs VALUES ('whole', 'home', 'W', 'w', 'visit', 1, '{\"b\":2}', 'h', 4, 1, 2, 'Anna', 0)",
			"INSERT INTO snapshots VALUES ('whole', 1, '{\"b\":2}')",
		},
		map[string]string{
			"SELECT reason FROM words WHERE job = 'j'":                        "r",
			"SELECT document FROM snapshots WHERE job = 'j' AND revision = 2": `{"a":1}`,
			"SELECT document FROM snapshots WHERE job = 'j' AND revision = 1": "{}",
			"SELECT document FROM snapshots WHERE job = 'whole'":              `{"b":2}`,
			"SELECT count(*) FROM snapshots":                                  "3",
			"SELECT changed_by FROM jobs WHERE id = 'j' AND revision = 2":     "Anna",
		},
	},
}

// TestSteps migrates SQLite step by step; TestStepsPostgres in postgres_steps_test.go does
// the same there.
func TestSteps(t *testing.T) {
	db, err := sql.Open("sqlite", "file:"+filepath.Join(t.TempDir(), "x.sqlite")+"?_pragma=foreign_keys(1)")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	StepThrough(t, db, goose.DialectSQLite3)
}

// StepThrough is exported for the tests of the other database, which stand outside
// this package.
func StepThrough(t *testing.T, db *sql.DB, d goose.Dialect) {
	ctx := context.Background()
	files, err := migrations.ReadDir("migrations")
	if err != nil || len(files) != len(steps) {
		t.Fatalf("%d migrations, %d steps tested, %v: add the step to this test", len(files), len(steps), err)
	}
	for _, s := range steps {
		for _, q := range s.before {
			if _, err := db.Exec(q); err != nil {
				t.Fatalf("before version %d: %s: %v", s.to, q, err)
			}
		}
		if err := migrate(ctx, db, d, s.to); err != nil {
			t.Fatalf("to version %d: %v", s.to, err)
		}
		for q, want := range s.after {
			var got string
			if err := db.QueryRow(q).Scan(&got); err != nil || got != want {
				t.Errorf("after version %d: %s: %q, %v; want %q", s.to, q, got, err, want)
			}
		}
	}
	newest := steps[len(steps)-1].to
	if _, err := db.Exec(fmt.Sprintf("INSERT INTO goose_db_version (version_id, is_applied) VALUES (%d, %s)", newest+1, truth(d))); err != nil {
		t.Fatal(err)
	}
	if err := migrate(ctx, db, d, -1); err == nil || !strings.Contains(err.Error(), "newer program") {
		t.Errorf("tables of a newer program: %v; want a refusal", err)
	}
}

func truth(d goose.Dialect) string {
	if d == goose.DialectPostgres {
		return "true"
	}
	return "1"
}
