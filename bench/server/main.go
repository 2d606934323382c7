// Command server measures the server under load, on loopback and bounded: fifty
// people on fifty jobs, an edit to its drawn answer, the busiest read endpoint beside
// a bare handler, and durable saves in a group beside one by one. Everything runs in
// one process on a scratch folder; the figures that matter are ratios of one run.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime/debug"
	"runtime/pprof"
	"slices"
	"time"

	"coilwright/server"
	"coilwright/store"
)

func main() {
	length := flag.Duration("for", 5*time.Second, "how long each measurement takes")
	people := flag.Int("people", 50, "people, and jobs")
	database := flag.String("database", "", "postgres://... instead of a scratch SQLite file")
	strict := flag.Bool("strict", false, "exit 1 where a goal is missed")
	only := flag.String("only", "", "one measurement: edits, crowd, reads or saves")
	profile := flag.String("profile", "", "write where the processor's time went to this file, for go tool pprof")
	flag.Parse()
	debug.SetGCPercent(server.CollectAt)
	stop, err := profiling(*profile)
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench/server:", err)
		os.Exit(1)
	}
	missed, err := measure(*length, *people, *database, *only)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench/server:", err)
		os.Exit(1)
	}
	if *strict && missed > 0 {
		os.Exit(1)
	}
}

// bench is a server under measurement.
type bench struct {
	store  *store.Store
	url    string
	client *http.Client
	length time.Duration
	missed int
}

// profiling writes a processor profile until stop; without a file, none.
func profiling(file string) (stop func(), err error) {
	if file == "" {
		return func() {}, nil
	}
	f, err := os.Create(file)
	if err != nil {
		return nil, err
	}
	if err := pprof.StartCPUProfile(f); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return func() {
		pprof.StopCPUProfile()
		f.Close()
	}, nil
}

func measure(length time.Duration, people int, database, only string) (missed int, err error) {
	dir, err := os.MkdirTemp("", "coilwright-bench-")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(dir)
	if database == "" {
		database = filepath.Join(dir, "jobs.sqlite")
	}
	st, err := store.Open(context.Background(), store.Config{Database: database, Files: filepath.Join(dir, "files"), Read: server.Read, Settled: server.Settled})
	if err != nil {
		return 0, err
	}
	defer st.Close()
	if err := st.Begin(context.Background(), "bench", nil, ""); err != nil {
		return 0, err
	}
	b := &bench{store: st, length: length, client: &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 200}, Timeout: 30 * time.Second}}
	s := server.New(server.Config{Store: st, Open: true})
	defer s.Close()
	stop, err := b.serve(s)
	if err != nil {
		return 0, err
	}
	defer stop()
	for _, m := range []struct {
		name string
		do   func() error
	}{
		{"edits", b.edits},
		{"crowd", func() error { return b.crowd(people) }},
		{"reads", func() error { return b.reads(people) }},
		{"saves", func() error { return b.saves(people) }},
	} {
		if only == "" || only == m.name {
			err = errors.Join(err, m.do())
		}
	}
	return b.missed, err
}

// serve listens on loopback.
func (b *bench) serve(h http.Handler) (stop func(), err error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	x := &http.Server{Handler: h, ReadHeaderTimeout: 5 * time.Second}
	go x.Serve(l)
	b.url = "http://" + l.Addr().String()
	return func() { x.Close() }, nil
}

// say prints a figure beside its goal.
func (b *bench) say(good bool, format string, args ...any) {
	mark := "ok    "
	if !good {
		mark = "missed"
		b.missed++
	}
	fmt.Printf(mark+"  "+format+"\n", args...)
}

// percentile gives the p-th part of durations, 0 to 1.
func percentile(all []time.Duration, p float64) time.Duration {
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[min(len(all)-1, int(p*float64(len(all))))]
}
