package store_test

import (
	"context"
	"database/sql"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
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
