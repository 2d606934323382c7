package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestServe starts the program as a person does, asks it, and stops it with SIGTERM:
// the demo job is there at the first start, and alone; a second start adds nothing.
func TestServe(t *testing.T) {
	data := filepath.Join(t.TempDir(), "a new", "folder")
	for start := range 2 {
		address, stopped, said := serving(t, "serve", "--data", data, "--listen", "127.0.0.1:0")
		var list struct{ Jobs []struct{ Title string } }
		if err := json.Unmarshal(get(t, address+"api/jobs"), &list); err != nil || len(list.Jobs) != 1 || !strings.Contains(list.Jobs[0].Title, "(invented)") {
			t.Errorf("start %d: jobs %+v, %v", start, list, err)
		}
		if err := syscall.Kill(os.Getpid(), syscall.SIGTERM); err != nil {
			t.Fatal(err)
		}
		if code := <-stopped; code != done {
			t.Errorf("exit %d\n%s", code, said)
		}
		if !strings.Contains(said.String(), "everything is saved") {
			t.Errorf("it said %q", said)
		}
	}
}

// TestServeBeyond: beyond this machine it prints the code for the first account.
func TestServeBeyond(t *testing.T) {
	address, stopped, said := serving(t, "serve", "--data", t.TempDir(), "--listen", "0.0.0.0:0")
	if _, code, ok := strings.Cut(address, "#setup="); !ok || len(code) < 10 || !strings.Contains(said.String(), "no account yet") {
		t.Errorf("address %s; it said %s", address, said)
	}
	if err := syscall.Kill(os.Getpid(), syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	<-stopped
}

func TestServeRefusals(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	strange := t.TempDir()
	if err := os.WriteFile(filepath.Join(strange, "jobs.sqlite"), bytes.Repeat([]byte("no database. "), 1000), 0o600); err != nil {
		t.Fatal(err)
	}
	for line, want := range map[string]string{
		"serve --listen 127.0.0.1:0 --data " + strange:                          "not this program's",
		"serve --listen nonsense --data " + t.TempDir():                         "choose another with --listen",
		"serve --listen 127.0.0.1:0 --data " + file:                             "cannot be opened",
		"serve --listen 127.0.0.1:0 --data " + file + "/below":                  "cannot be opened",
		"serve --listen 127.0.0.1:0 --files gs://bucket --data " + t.TempDir():  "look at --database and --files",
		"serve --listen 127.0.0.1:0 --database mysql://x --data " + t.TempDir(): "no way to keep data in mysql://",
	} {
		var out, err bytes.Buffer
		if code := run(strings.Fields(line), nil, &out, &err); code != jobWrong || !strings.Contains(err.String(), want) {
			t.Errorf("%s: exit %d, %s; want %q", line, code, &err, want)
		}
	}
}

// serving runs the program until it has said its address.
func serving(t *testing.T, args ...string) (address string, stopped chan int, said *bytes.Buffer) {
	t.Helper()
	r, w := io.Pipe()
	said = &bytes.Buffer{}
	exit := make(chan int, 1)
	go func() {
		code := run(args, nil, w, io.Discard)
		w.Close()
		exit <- code
	}()
	lines := bufio.NewScanner(r)
	for lines.Scan() {
		said.WriteString(lines.Text() + "\n")
		if _, at, ok := strings.Cut(lines.Text(), "Coilwright is at "); ok {
			address = at
		}
		if strings.HasPrefix(lines.Text(), "Stop it") {
			break
		}
	}
	if address == "" {
		t.Fatalf("no address: %s", said)
	}
	ended := make(chan int, 1)
	go func() { // what it says at its end
		for lines.Scan() {
			said.WriteString(lines.Text() + "\n")
		}
		ended <- <-exit
	}()
	return address, ended, said
}

func get(t *testing.T, url string) []byte {
	t.Helper()
	got, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	all, err := io.ReadAll(got.Body)
	if err != nil || got.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d %s %v", url, got.StatusCode, all, err)
	}
	return all
}
