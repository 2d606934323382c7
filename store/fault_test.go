package store_test

import (
	"bufio"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"coilwright/store"
)

// TestKilled: a program is killed by kill -9 in the midst of a thousand saves, over
// and over; every save that it acknowledged is there afterwards.
func TestKilled(t *testing.T) {
	if dir := os.Getenv("STORE_TEST_SAVES"); dir != "" {
		saveOnAndOn(t, dir)
		return
	}
	dir := t.TempDir()
	s := open(t, store.Config{Database: filepath.Join(dir, "jobs.sqlite"), Files: filepath.Join(dir, "files")})
	var jobs []string
	for range 10 {
		jobs = append(jobs, made(t, s).ID)
	}
	acknowledged := 0
	for acknowledged < 1000 {
		acknowledged += killed(t, dir, jobs, 150)
	}
	t.Logf("%d acknowledged saves, killed %d times", acknowledged, (acknowledged+149)/150)
	for _, id := range jobs {
		j, err := s.Job(ctx, "home", id)
		if err != nil {
			t.Fatal(err)
		}
		if first, err := s.Revision(ctx, "home", id, 1); err != nil || string(first) != document {
			t.Errorf("job %s: its first revision is %s, %v", id, first, err)
		}
		for place := range strings.SplitSeq(strings.Join(acks[id], " "), " ") {
			if place != "" && !strings.Contains(string(j.Document), `"`+place+`":1`) {
				t.Errorf("job %s: the acknowledged save %s is gone", id, place)
			}
		}
	}
}

// acks are the acknowledged saves by job.
var acks = map[string][]string{}

// killed runs a program that saves, and kills it after so many acknowledgements.
func killed(t *testing.T, dir string, jobs []string, after int) int {
	t.Helper()
	x := exec.Command(os.Args[0], "-test.run=^TestKilled$")
	x.Env = append(os.Environ(), "STORE_TEST_SAVES="+dir, "STORE_TEST_JOBS="+strings.Join(jobs, ","), fmt.Sprintf("STORE_TEST_ROUND=%d", time.Now().UnixNano()))
	out, err := x.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := x.Start(); err != nil {
		t.Fatal(err)
	}
	heard := 0
	for lines := bufio.NewScanner(out); lines.Scan(); {
		id, place, ok := strings.Cut(lines.Text(), " ")
		if !ok || id != "saved" {
			continue
		}
		id, place, _ = strings.Cut(place, " ")
		acks[id] = append(acks[id], place)
		if heard++; heard == after {
			x.Process.Kill() //nolint:errcheck // SIGKILL; what it still wrote into the pipe is read on
		}
	}
	x.Wait() //nolint:errcheck // it was killed
	if heard < after {
		t.Fatalf("the saving program ended by itself after %d saves", heard)
	}
	return heard
}

// saveOnAndOn is the program that is killed: it says each save once it is acknowledged.
func saveOnAndOn(t *testing.T, dir string) {
	s := open(t, store.Config{Database: filepath.Join(dir, "jobs.sqlite"), Files: filepath.Join(dir, "files")})
	jobs, round := strings.Split(os.Getenv("STORE_TEST_JOBS"), ","), os.Getenv("STORE_TEST_ROUND")
	var mu sync.Mutex
	var wg sync.WaitGroup
	for n, id := range jobs {
		wg.Go(func() {
			for i := range 1000 {
				place := fmt.Sprintf("r%s-%d-%d", round, n, i)
				head, err := s.Head(ctx, "home", id)
				if err != nil {
					t.Error(err)
					return
				}
				if _, err := s.Change(ctx, anna, id, store.Edit{Base: head.Revision, What: place, Patch: set("/m/"+place, "1")}); err != nil {
					t.Error(err)
					return
				}
				mu.Lock()
				fmt.Printf("saved %s %s\n", id, place)
				mu.Unlock()
			}
		})
	}
	wg.Wait()
}

// TestLocked: another program holds the database; the save says so, and works again
// once the other lets go.
func TestLocked(t *testing.T) {
	dir := t.TempDir()
	s := open(t, store.Config{Database: filepath.Join(dir, "jobs.sqlite"), Files: filepath.Join(dir, "files")})
	j := made(t, s)
	other, err := sql.Open("sqlite", "file:"+filepath.Join(dir, "jobs.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	other.SetMaxOpenConns(1)
	if _, err := other.Exec("BEGIN EXCLUSIVE"); err != nil {
		t.Fatal(err)
	}
	_, err = s.Change(ctx, anna, j.ID, store.Edit{Base: 1, What: "x", Patch: set("/title", `"X"`)})
	if !errors.Is(err, store.ErrBusy) || !strings.Contains(err.Error(), "nothing of this was saved") {
		t.Errorf("while locked: %v; want that another program holds it", err)
	}
	if got, err := s.Job(ctx, "home", j.ID); err != nil || got.Revision != 1 {
		t.Errorf("reading while locked: %+v, %v", got, err)
	}
	if _, err := other.Exec("ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	save(t, s, anna, j, 1, "/title", `"X"`)
}

// TestFull: the disk is full, as SQLite sees it when its file may grow no more. The
// save says so, what was saved stays, and saving goes on once there is room.
func TestFull(t *testing.T) {
	dir := t.TempDir()
	c := store.Config{Database: filepath.Join(dir, "jobs.sqlite"), Files: filepath.Join(dir, "files")}
	s := open(t, c)
	j := made(t, s)
	save(t, s, anna, j, 1, "/title", `"before"`)
	s.Narrow(t, 0)
	_, err := s.Change(ctx, anna, j.ID, store.Edit{Base: 2, What: "x", Patch: set("/title", `"`+strings.Repeat("x", 1<<20)+`"`)})
	if !errors.Is(err, store.ErrFull) || !strings.Contains(err.Error(), "make room") {
		t.Errorf("on a full disk: %v; want that it is full", err)
	}
	if got, err := s.Job(ctx, "home", j.ID); err != nil || got.Title != "before" || got.Revision != 2 {
		t.Errorf("after it: %+v, %v", got, err)
	}
	s.Narrow(t, 1<<30)
	save(t, s, anna, j, 2, "/title", `"after"`)
}

// TestOneFails: in a group of saves one that the database itself refuses does not
// take the others with it, nor does it turn a refusal among them into a success.
func TestOneFails(t *testing.T) {
	dir := t.TempDir()
	s := open(t, store.Config{Database: filepath.Join(dir, "jobs.sqlite"), Files: filepath.Join(dir, "files")})
	var (
		wg    sync.WaitGroup
		taken atomic.Int64
	)
	for range 40 {
		j := made(t, s)
		wg.Go(func() {
			if _, err := s.AddAccount(ctx, "home", "Anna", "x"); err == nil {
				taken.Add(1)
			} else if !errors.Is(err, store.ErrTaken) {
				t.Error(err)
			}
		})
		wg.Go(func() { save(t, s, anna, j, 1, "/title", `"ok"`) })
		wg.Go(func() {
			if err := s.Break(); err == nil {
				t.Error("a broken write went through")
			}
			if err := s.Panic(); err == nil {
				t.Error("a write that panics went through")
			}
		})
	}
	wg.Wait()
	if taken.Load() != 1 {
		t.Errorf("%d accounts of one name were acknowledged", taken.Load())
	}
}

// TestReadOnlyFolder: a folder that may not be written to is said at the start.
func TestReadOnlyFolder(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a-file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Open(ctx, store.Config{Database: filepath.Join(file, "jobs.sqlite"), Files: file}); err == nil {
		t.Error("a data folder within a file was opened")
	}
}
