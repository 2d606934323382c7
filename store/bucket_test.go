package store_test

import (
	"bytes"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"coilwright/store"
)

// gateway is an S3-compatible server (versitygw) over a scratch folder.
type gateway struct {
	once sync.Once
	why  string
	port int
	dir  string
	stop func()
}

var bucket gateway

const key, secret = "test-key", "test-secret-of-no-use"

// url gives an empty bucket; the test is skipped where there is no such server.
func (g *gateway) url(t testing.TB) string {
	t.Helper()
	g.once.Do(g.start)
	if g.why != "" {
		t.Skipf("no S3-compatible server to test with: %s (make tools installs it)", g.why)
	}
	t.Setenv("AWS_ACCESS_KEY_ID", key)
	t.Setenv("AWS_SECRET_ACCESS_KEY", secret)
	name := fmt.Sprintf("b%d", time.Now().UnixNano())
	if err := os.Mkdir(filepath.Join(g.dir, name), 0o777); err != nil { // a bucket, to this server
		t.Fatal(err)
	}
	return fmt.Sprintf("s3://%s?region=us-east-1&endpoint=http://127.0.0.1:%d&use_path_style=true", name, g.port)
}

func (g *gateway) start() {
	path, err := exec.LookPath("versitygw")
	if err != nil {
		home, _ := exec.Command("go", "env", "GOPATH").Output()
		path = filepath.Join(string(bytes.TrimSpace(home)), "bin", "versitygw")
	}
	if !exists(path) {
		g.why = "versitygw is not on this machine"
		return
	}
	dir, err := os.MkdirTemp("", "coilwright-bucket-")
	if err != nil {
		g.why = err.Error()
		return
	}
	g.port, g.dir = freePort(), dir
	x := exec.Command(path, "--access", key, "--secret", secret, "--port", fmt.Sprintf("127.0.0.1:%d", g.port), "posix", "--nometa", dir)
	var said bytes.Buffer
	x.Stdout, x.Stderr = &said, &said
	if err := x.Start(); err != nil {
		g.why = err.Error()
		return
	}
	g.stop = func() {
		x.Process.Kill() //nolint:errcheck // it is ours and may be gone
		x.Wait()         //nolint:errcheck // killed
		os.RemoveAll(dir)
	}
	for range 100 {
		if c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", g.port)); err == nil {
			c.Close()
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	g.why = "versitygw does not answer: " + said.String()
}

// A bucket that cannot be used is found when the store is opened, not with the first photo; one
// that goes later is named as what it is.
func TestBucketThatIsNotThere(t *testing.T) {
	c := inBucket.config(t)
	for files, want := range map[string]string{
		strings.Replace(c.Files, "s3://b", "s3://gone", 1): "there is no bucket s3://gone",
		"gs://bucket": "no driver registered",
		strings.Replace(c.Files, fmt.Sprint(bucket.port), fmt.Sprint(freePort()), 1): store.ErrNoFiles.Error(),
	} {
		s, err := store.Open(ctx, store.Config{Database: c.Database, Files: files})
		if err == nil {
			s.Close() //nolint:errcheck // it should not be open
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v; want %s", files, err, want)
		}
	}
	s := open(t, c)
	j := made(t, s)
	photo := []store.Content{{Name: "front.jpg", Media: "image/jpeg", Bytes: []byte("a photo")}}
	if err := s.PutFiles(ctx, "home", j.ID, "", photo); err != nil {
		t.Fatal(err)
	}
	name, _, _ := strings.Cut(strings.TrimPrefix(c.Files, "s3://"), "?")
	if err := os.RemoveAll(filepath.Join(bucket.dir, name)); err != nil {
		t.Fatal(err)
	}
	if err := s.PutFiles(ctx, "home", j.ID, "", photo); !errors.Is(err, store.ErrNoFiles) {
		t.Errorf("put: %v", err)
	}
	if _, _, err := s.OpenFile(ctx, "home", j.ID, "front.jpg"); !errors.Is(err, store.ErrNoFiles) {
		t.Errorf("open: %v", err)
	}
}

// TestFilesOfAnotherDatabase: a folder or bucket that does not hold what the database names is
// known when the store is opened.
func TestFilesOfAnotherDatabase(t *testing.T) {
	for _, k := range append(kinds[:2:2], inBucket) {
		t.Run(k.name, func(t *testing.T) {
			c := k.config(t)
			s := open(t, c)
			lacks := func(s *store.Store, want bool) {
				t.Helper()
				if got, err := s.LacksFiles(ctx); got != want || err != nil {
					t.Errorf("lacks %v, %v; want %v", got, err, want)
				}
			}
			lacks(s, false)
			if err := s.PutFiles(ctx, "home", made(t, s).ID, "", []store.Content{{Name: "front.jpg", Media: "image/jpeg", Bytes: []byte("a photo")}}); err != nil {
				t.Fatal(err)
			}
			lacks(s, false)
			other, err := store.Open(ctx, store.Config{Database: c.Database, Files: k.config(t).Files})
			if err != nil {
				t.Fatal(err)
			}
			lacks(other, true)
			if err := other.Close(); err != nil {
				t.Error(err)
			}
		})
	}
}
