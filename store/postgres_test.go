package store_test

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"coilwright/store"
)

// cluster is a PostgreSQL server that the tests start for themselves, on a scratch
// folder and port, and stop at the end.
type cluster struct {
	once sync.Once
	why  string // why there is none
	port int
	dir  string
	stop func()
	made atomic.Int64
}

var postgres cluster

func TestMain(m *testing.M) {
	code := m.Run()
	if postgres.stop != nil {
		postgres.stop()
	}
	if bucket.stop != nil {
		bucket.stop()
	}
	os.Exit(code)
}

// database makes an empty database; the test is skipped where no PostgreSQL can be had.
func (c *cluster) database(t testing.TB) string {
	t.Helper()
	c.once.Do(c.start)
	if c.why != "" {
		t.Skipf("no PostgreSQL to test with: %s (make tools installs it)", c.why)
	}
	name := fmt.Sprintf("t%d", c.made.Add(1))
	url := func(name string) string {
		return fmt.Sprintf("postgres://postgres@127.0.0.1:%d/%s?sslmode=disable", c.port, name)
	}
	db, err := sql.Open("pgx", url("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec("CREATE DATABASE " + name); err != nil {
		t.Fatal(err)
	}
	return url(name)
}

func (c *cluster) start() {
	bin, err := exec.Command("pg_config", "--bindir").Output()
	at := strings.TrimSpace(string(bin))
	if found, _ := filepath.Glob("/usr/lib/postgresql/*/bin"); err != nil || !exists(filepath.Join(at, "initdb")) {
		if len(found) == 0 {
			c.why = "initdb is not on this machine"
			return
		}
		at = found[len(found)-1]
	}
	c.dir, err = os.MkdirTemp("", "coilwright-postgres-")
	if err != nil {
		c.why = err.Error()
		return
	}
	c.port = freePort()
	// Whether PostgreSQL itself reaches the disk is not tested here.
	options := fmt.Sprintf("-p %d -c listen_addresses=127.0.0.1 -c unix_socket_directories='' -c max_connections=200 -c fsync=off", c.port)
	c.stop = func() {
		c.as(filepath.Join(at, "pg_ctl"), "-D", c.dir+"/data", "-m", "immediate", "stop").Run() //nolint:errcheck // it may never have started
		os.RemoveAll(c.dir)
	}
	for _, command := range [][]string{
		{filepath.Join(at, "initdb"), "-D", c.dir + "/data", "-U", "postgres", "--auth=trust", "--encoding=UTF8", "--locale=C", "--no-sync"},
		{filepath.Join(at, "pg_ctl"), "-D", c.dir + "/data", "-w", "-l", c.dir + "/log", "-o", options, "start"},
	} {
		if out, err := c.as(command...).CombinedOutput(); err != nil {
			c.why = fmt.Sprintf("%s: %v: %s", command[0], err, out)
			c.stop()
			c.stop = nil
			return
		}
	}
}

// as runs a command as somebody who may run a PostgreSQL server: not as root.
func (c *cluster) as(command ...string) *exec.Cmd {
	if os.Getuid() == 0 {
		os.Chmod(c.dir, 0o777) //nolint:errcheck // the command then says what is wrong
		command = append([]string{"runuser", "-u", "postgres", "--"}, command...)
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	x := exec.CommandContext(ctx, command[0], command[1:]...)
	x.Cancel = func() error { defer cancel(); return x.Process.Kill() }
	x.Dir = "/"
	return x
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

func freePort() int {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

// TestPutBackInPart: a copy that was put back up to somewhere in its middle, and another program's
// database, are told when the store is opened; the whole copy opens.
func TestPutBackInPart(t *testing.T) {
	c := kinds[1].config(t)
	s := open(t, c)
	j := made(t, s)
	copied, err := exec.Command("pg_dump", c.Database).Output()
	if err != nil {
		t.Skipf("no pg_dump: %v", err)
	}
	whole := string(copied)
	for name, part := range map[string]string{
		"up to the jobs":    before(t, whole, "COPY public.jobs "),
		"up to the shops":   before(t, whole, "COPY public.shops "),
		"up to the keys":    before(t, whole, "ADD CONSTRAINT"),
		"another program's": "CREATE TABLE jobs (id int)",
	} {
		c := kinds[1].config(t)
		restored(t, c.Database, part)
		again, err := store.Open(ctx, c)
		if err == nil {
			err = errors.Join(again.Begin(ctx, "The shop", nil, ""), again.Close())
		}
		if !errors.Is(err, store.ErrTables) {
			t.Errorf("%s: %v", name, err)
		}
	}
	c = kinds[1].config(t)
	restored(t, c.Database, whole)
	if got, err := open(t, c).Job(ctx, "home", j.ID); err != nil || got.Hash != j.Hash {
		t.Errorf("the whole copy: %+v, %v", got, err)
	}
}

// before is a copy's text up to the line that holds what.
func before(t *testing.T, text, what string) string {
	t.Helper()
	part, _, ok := strings.Cut(text, what)
	if !ok {
		t.Fatalf("no %q in the copy", what)
	}
	return part[:strings.LastIndex(part[:len(part)-1], ";\n")+2]
}

func restored(t *testing.T, database, text string) {
	t.Helper()
	x := exec.Command("psql", "-q", database)
	x.Stdin = strings.NewReader(text)
	if out, err := x.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
}

// TestConnectionsGo: PostgreSQL ends every connection while many save; each save that fails says
// that the database is away, or that it may be saved, each that was acknowledged is there.
func TestConnectionsGo(t *testing.T) {
	c := kinds[1].config(t)
	s := open(t, c)
	ends, err := sql.Open("pgx", c.Database)
	if err != nil {
		t.Fatal(err)
	}
	defer ends.Close()
	gone, err := pgx.Connect(ctx, c.Database)
	if err != nil {
		t.Fatal(err)
	}
	gone.Close(ctx) //nolint:errcheck // it is to be gone
	if _, err := gone.Exec(ctx, "SELECT 1"); !errors.Is(store.Explain(err), store.ErrAway) {
		t.Errorf("on a connection that is gone: %v", err)
	}
	var wg sync.WaitGroup
	for range 8 {
		j := made(t, s)
		wg.Go(func() {
			at, base := 0, j.Revision
			for i := range 150 {
				got, err := s.Change(ctx, anna, j.ID, store.Edit{Base: base, What: "x", Patch: set("/title", fmt.Sprintf(`"%d"`, i))})
				if err == nil {
					at, base = i, got.Job.Revision
				} else if !errors.Is(err, store.ErrAway) && !errors.Is(err, store.ErrUnsure) {
					t.Errorf("save %d: %v", i, err)
				}
			}
			for {
				got, err := s.Job(ctx, "home", j.ID)
				if errors.Is(err, store.ErrAway) {
					continue
				}
				if title, _ := strconv.Atoi(got.Title); err != nil || title < at {
					t.Errorf("title %q, acknowledged %d, %v", got.Title, at, err)
				}
				return
			}
		})
	}
	done := make(chan bool)
	go func() { wg.Wait(); close(done) }()
	for n := 0; ; n++ {
		select {
		case <-done:
			t.Logf("connections ended %d times", n)
			return
		case <-time.After(10 * time.Millisecond):
			ends.Exec("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()") //nolint:errcheck // again in a moment
		}
	}
}

// TestCommitUnanswered: the connection is lost on the way of a COMMIT or of its answer. Whoever
// saves is told that it may be saved or not, never that it is not; what comes again is done once.
func TestCommitUnanswered(t *testing.T) {
	for _, reached := range []bool{true, false} {
		c := kinds[1].config(t)
		line := &commitCutter{t: t, port: postgres.port, reached: reached}
		c.Database = strings.Replace(c.Database, fmt.Sprintf(":%d/", postgres.port), fmt.Sprintf(":%d/", line.listen()), 1)
		s := open(t, c)
		j := made(t, s)
		for n, do := range []func(base int64) (store.Saved, error){
			func(base int64) (store.Saved, error) {
				return s.Change(ctx, anna, j.ID, store.Edit{Base: base, What: "x", Patch: set("/title", `"once"`)})
			},
			func(base int64) (store.Saved, error) { return s.Undo(ctx, anna, j.ID, base, "") },
		} {
			base := j.Revision + int64(n)
			line.cut.Store(true)
			if _, err := do(base); !errors.Is(err, store.ErrUnsure) || strings.Contains(store.Trouble(err).Error(), "nothing") {
				t.Errorf("reached the server: %v, step %d: %v", reached, n, err)
			}
			if line.cut.Load() {
				t.Fatal("no COMMIT was cut off")
			}
			now, err := s.Job(ctx, "home", j.ID)
			if err != nil || reached != (now.Revision == base+1) {
				t.Errorf("reached the server: %v, step %d: revision %d from %d, %v", reached, n, now.Revision, base, err)
			}
			got, err := do(base)
			if err != nil || got.Job.Revision != base+1 {
				t.Errorf("reached the server: %v, step %d again: revision %d from %d, %v", reached, n, got.Job.Revision, base, err)
			}
		}
	}
}

// commitCutter stands between the store and PostgreSQL and ends a connection at its next
// COMMIT: before the server has it, or once the server has carried it out.
type commitCutter struct {
	t       *testing.T
	port    int
	reached bool
	cut     atomic.Bool
}

func (c *commitCutter) listen() int {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		c.t.Fatal(err)
	}
	c.t.Cleanup(func() { l.Close() })
	go func() {
		for {
			near, err := l.Accept()
			if err != nil {
				return
			}
			go c.pass(near)
		}
	}()
	return l.Addr().(*net.TCPAddr).Port
}

func (c *commitCutter) pass(near net.Conn) {
	defer near.Close()
	far, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", c.port))
	if err != nil {
		return
	}
	defer far.Close()
	var deaf atomic.Bool
	answers := make(chan bool)
	go func() {
		defer close(answers)
		text := make([]byte, 1<<16)
		for {
			n, err := far.Read(text)
			if deaf.Load() || err != nil {
				return // the server has answered the COMMIT
			}
			near.Write(text[:n]) //nolint:errcheck // whoever asked has gone
		}
	}()
	for text := make([]byte, 1<<16); ; {
		n, err := near.Read(text)
		if err != nil {
			return
		}
		commit := bytes.Contains(bytes.ToLower(text[:n]), []byte("commit\x00")) && c.cut.CompareAndSwap(true, false)
		if commit && !c.reached {
			return
		}
		deaf.Store(commit)
		far.Write(text[:n]) //nolint:errcheck // the next read says so
		if commit {
			<-answers
			return
		}
	}
}
