// Package store keeps documents with every change made to them, accounts, sessions
// and files, in SQLite or PostgreSQL and in a folder or an S3-compatible bucket. One
// layer serves both databases, and one suite of tests holds both to the same.
//
// A document is JSON text; what it means is not the store's business: the caller
// says how one is described and which may be kept. Everything that is acknowledged
// has reached the disk.
package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/uptrace/bun"

	"coilwright/change"
)

// Config says where things are kept.
type Config struct {
	Database string // path of an SQLite file, or postgres://...
	Files    string // folder, or s3://bucket?region=...&endpoint=...
	// Read says what lists show of a document, or why it may not be kept.
	// nil: nothing is shown, and any JSON may be kept.
	Read func(document []byte) (Description, error)
	// Settled says of a patch that Read would find the document as before, so that
	// it need not be read again as a whole. nil: never.
	Settled func(done change.Patch) bool
	// Now is the clock; nil: time.Now.
	Now func() time.Time
}

// Description is what lists show of a document.
type Description struct {
	Title string
	Walls int
}

// Store is safe for many goroutines, and many processes may open the same one.
type Store struct {
	read     *bun.DB
	writer   writer
	files    *fileStore
	config   Config
	prepared statements
	lately   lately
}

// Who makes a change.
type Who struct {
	Shop    string
	Account string // id
	Name    string
	Device  string // tells two pages of one person apart; may be empty
}

// Open opens the store, making or migrating its tables.
func Open(ctx context.Context, c Config) (*Store, error) {
	if c.Read == nil {
		c.Read = func([]byte) (Description, error) { return Description{}, nil }
	}
	if c.Settled == nil {
		c.Settled = func(change.Patch) bool { return false }
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	s := &Store{config: c}
	if err := s.connect(ctx); err != nil {
		return nil, explain(err)
	}
	var err error
	if s.files, err = openFiles(ctx, c.Files); err != nil {
		return nil, errors.Join(explain(err), s.Close())
	}
	return s, nil
}

func (s *Store) connect(ctx context.Context) (err error) {
	kind, _, address := strings.Cut(s.config.Database, "://")
	switch {
	case isPostgres(s.config.Database):
		s.read, s.writer, err = openPostgres(ctx, s.config.Database)
	case address:
		return fmt.Errorf("there is no way to keep data in %s://; give postgres://... or the path of a file", kind)
	default:
		s.read, s.writer, err = openSQLite(ctx, s.config.Database)
	}
	return err
}

func isPostgres(database string) bool {
	return strings.HasPrefix(database, "postgres://") || strings.HasPrefix(database, "postgresql://")
}

// Close waits for saves under way and lets go of everything.
func (s *Store) Close() error {
	var err error
	if s.writer != nil {
		err = s.writer.close()
	}
	if s.read != nil {
		err = errors.Join(err, s.prepared.close(), s.read.Close())
	}
	if s.files != nil {
		err = errors.Join(err, s.files.Close())
	}
	return err
}

// Ping says whether the database answers.
func (s *Store) Ping(ctx context.Context) error { return explain(s.read.PingContext(ctx)) }

// DB is the database for reading: for measurements that compare with a bare query.
func (s *Store) DB() *sql.DB { return s.read.DB }

func (s *Store) now() int64 { return s.config.Now().UnixMicro() }

// newID is 80 random bits in base32.
func newID() string { return strings.ToLower(rand.Text()[:16]) }

// Hash is the name of a content.
func Hash(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:16])
}

func moment(micro int64) time.Time { return time.UnixMicro(micro).UTC() }
