package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"syscall"

	"github.com/jackc/pgx/v5/pgconn"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// What callers match.
var (
	ErrNotFound = errors.New("there is no such thing here")
	ErrConflict = errors.New("somebody changed the same place meanwhile")
	ErrStale    = errors.New("the job has moved on")
	ErrNothing  = errors.New("there is nothing left to take back")
	ErrTaken    = errors.New("that name is taken")
	ErrRefused  = errors.New("this cannot be kept")
	ErrFull     = errors.New("the disk is full: nothing of this was saved, all that was saved before is safe; make room and save again")
	ErrBusy     = errors.New("the database is held by another program: nothing of this was saved, all that was saved before is safe; try again in a moment")
	ErrAway     = errors.New("the database cannot be reached: nothing of this was saved; try again in a moment")
	ErrUnsure   = errors.New("the connection to the database was lost while this was being saved: it may be saved or not; the page sends its edits again, and none is done twice; look before you do anything else again")
	ErrNoFiles  = errors.New("the store of photos and papers does not answer, or has lost one: nothing of this was saved; try again in a moment")
	ErrDamaged  = errors.New("the database is damaged: what it holds of this job is not what was saved; nothing was changed; put back the last good copy of the data")
	ErrTables   = errors.New("the database is not this program's, or a copy was put back in part; put the whole copy back, into an empty database")
	ErrReadOnly = errors.New("the data folder may not be written to: nothing of this was saved; mend its permissions and save again")
)

// ConflictError is ErrConflict with the places and both values.
type ConflictError struct {
	Revision int64 // the job's now
	Places   []Place
}

// Place is one place that two people changed; a missing value is nil.
type Place struct {
	Path          string
	Yours, Theirs json.RawMessage
	By            string
}

func (e *ConflictError) Error() string {
	return fmt.Sprintf("%v: %d places, the first %s", ErrConflict, len(e.Places), e.Places[0].Path)
}

// Unwrap makes errors.Is true for ErrConflict.
func (e *ConflictError) Unwrap() error { return ErrConflict }

// Trouble gives the trouble of the store itself that an error tells of, which says all that
// a person needs: ErrFull, ErrReadOnly, ErrBusy, ErrAway, ErrUnsure, ErrNoFiles or ErrTables. nil: it tells of none,
// but of what was asked.
func Trouble(err error) error {
	for _, known := range []error{ErrUnsure, ErrFull, ErrReadOnly, ErrBusy, ErrAway, ErrNoFiles, ErrTables} {
		if errors.Is(err, known) {
			return known
		}
	}
	return nil
}

// explain turns a database's error into one that a person understands and a caller
// can match; the cause stays within it.
func explain(err error) error {
	if err == nil {
		return nil
	}
	if Trouble(err) != nil {
		return err
	}
	if means := meaning(err); means != nil {
		return fmt.Errorf("%w (%w)", means, err)
	}
	return err
}

func meaning(err error) error {
	var (
		lite *sqlite.Error
		pg   *pgconn.PgError
		away *net.OpError
		dial *pgconn.ConnectError
	)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return ErrNotFound
	case errors.As(err, &lite):
		return sqliteMeaning(lite.Code() & 0xff)
	case errors.As(err, &pg) && postgresMeaning(pg.Code) != nil:
		return postgresMeaning(pg.Code)
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return ErrFull
	case errors.Is(err, syscall.EROFS), errors.Is(err, syscall.EACCES):
		return ErrReadOnly
	case errors.As(err, &dial), errors.As(err, &away), errors.Is(err, driver.ErrBadConn):
		return ErrAway
	case errors.Is(err, context.DeadlineExceeded):
		return ErrBusy
	case pgconn.SafeToRetry(err): // the connection was gone before anything was asked
		return ErrAway
	}
	return nil
}

func sqliteMeaning(code int) error {
	switch code {
	case sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_TOOBIG:
		return ErrFull
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return ErrBusy
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM:
		return ErrReadOnly
	case sqlite3.SQLITE_CANTOPEN:
		return ErrAway
	case sqlite3.SQLITE_NOTADB:
		return ErrTables
	}
	return nil
}

// postgresMeaning reads SQLSTATE classes (PostgreSQL documentation, appendix A).
func postgresMeaning(code string) error {
	switch {
	case code == "53100", code == "53200":
		return ErrFull
	case code == "23505":
		return ErrTaken
	case code == "25006", code == "42501":
		return ErrReadOnly
	case code == "42P01", code == "42P07", code == "42P10", code == "42703":
		return ErrTables
	case code == "55P03", code == "40001", code == "40P01", code == "57014":
		return ErrBusy
	case len(code) == 5 && (code[:2] == "08" || code[:2] == "57" || code == "53300"):
		return ErrAway
	}
	return nil
}
