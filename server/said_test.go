package server

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"testing"

	"coilwright/store"
)

// TestSaid: a database's trouble is told in words that help, without the driver's;
// what nobody can mend is told as a mistake of the program.
func TestSaid(t *testing.T) {
	s := &Server{log: slog.New(slog.DiscardHandler)}
	for _, c := range []struct {
		err    error
		status int
		says   string
	}{
		{fmt.Errorf("%w (%w)", store.ErrFull, errors.New("SQLITE_FULL (13)")), 507, "make room and save again"},
		{fmt.Errorf("%w (%w)", store.ErrReadOnly, errors.New("SQLITE_READONLY")), 507, "mend its permissions"},
		{fmt.Errorf("%w (%w)", store.ErrBusy, errors.New("SQLITE_BUSY")), 503, "try again in a moment"},
		{fmt.Errorf("%w (%w)", store.ErrUnsure, errors.New("unexpected EOF")), 503, "may be saved or not"},
		{fmt.Errorf("%w (%w)", store.ErrAway, errors.New("dial tcp 10.0.0.7:5432")), 503, "cannot be reached"},
		{fmt.Errorf("job x: %w", store.ErrNotFound), 404, "nothing of that name"},
		{fmt.Errorf("%w (%w)", store.ErrNoFiles, errors.New("api error AccessDenied")), 503, "photos and papers does not answer"},
		{fmt.Errorf("slitting: %w", context.Canceled), 503, "left before the answer"},
		{errors.New("pq: password for somebody"), 500, "Nothing of this was saved"},
	} {
		var p *Refusal
		if !errors.As(s.said(c.err), &p) || p.Status != c.status || !strings.Contains(p.Detail, c.says) {
			t.Errorf("%v: %+v; want %d, %q", c.err, p, c.status, c.says)
		}
		if store.Trouble(c.err) != nil && fitRefusal(c.err) != c.err {
			t.Errorf("%v is told as a fault of the photo", c.err)
		}
		if strings.Contains(p.Detail, "SQLITE") || strings.Contains(p.Detail, "10.0.0.7") || strings.Contains(p.Detail, "password") {
			t.Errorf("%v is told as it is: %s", c.err, p.Detail)
		}
	}
}
