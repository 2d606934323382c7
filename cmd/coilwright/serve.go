package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"syscall"
	"time"

	"coilwright/examples"
	"coilwright/server"
	"coilwright/store"
)

type serveCmd struct {
	Data     string `default:"coilwright-data" placeholder:"DIR" help:"Folder for the jobs; made if it is missing (${default})."`
	Listen   string `default:"127.0.0.1:8017" placeholder:"ADDR" help:"Address and port to listen on (${default}). Beyond this machine an account is needed."`
	Database string `env:"COILWRIGHT_DATABASE" placeholder:"URL" help:"postgres://... instead of a file in the data folder."`
	Files    string `env:"COILWRIGHT_FILES" placeholder:"URL" help:"s3://bucket?... for photos and papers instead of the data folder."`
	HTTPS    bool   `name:"https" help:"The page is reached over HTTPS through a proxy: cookies are sent over nothing else."`
	Empty    bool   `help:"Do not load the demo job at the first start."`
}

// Run serves the page until it is told to stop.
func (c serveCmd) Run(w *world) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("cannot listen on %s: %w; choose another with --listen", c.Listen, err)
	}
	st, err := c.open(ctx, w)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	defer st.Close() //nolint:errcheck // everything acknowledged is on the disk
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(server.CollectAt)
	}
	s := server.New(server.Config{
		Store: st, Open: onlyHere(listener.Addr()) && !c.HTTPS, HTTPS: c.HTTPS, Version: version().Version,
		Log: slog.New(slog.NewTextHandler(w.err, &slog.HandlerOptions{Level: slog.LevelWarn})),
	})
	if err := c.greet(ctx, w, s, listener.Addr()); err != nil {
		return errors.Join(err, listener.Close())
	}
	return serveUntil(ctx, w, s, listener)
}

// open opens the store and gives a first start its demo job.
func (c serveCmd) open(ctx context.Context, w *world) (*store.Store, error) {
	where, rather := "the data in "+c.Data, "choose another folder with --data"
	if c.Database != "" || c.Files != "" {
		where, rather = "the data", "look at --database and --files"
	}
	wrong := func(err error) error { return fmt.Errorf("%s cannot be opened: %w; %s", where, err, rather) }
	if c.Database == "" {
		c.Database = filepath.Join(c.Data, "jobs.sqlite")
	}
	if c.Files == "" {
		c.Files = filepath.Join(c.Data, "files")
	}
	st, err := store.Open(ctx, store.Config{Database: c.Database, Files: c.Files, Read: server.Read, Settled: server.Settled})
	if err != nil {
		return nil, wrong(err)
	}
	if lacks, err := st.LacksFiles(ctx); lacks || err != nil {
		fmt.Fprintln(w.err, "coilwright: photos and papers are missing: the newest that the database names is not where files are kept; put back the copy of the files that belongs to it, or", rather)
	}
	if !c.Empty {
		err = st.Begin(ctx, "The shop", examples.Demo, "The demo job, an invented house to start from")
	} else {
		err = st.Begin(ctx, "The shop", nil, "")
	}
	if err != nil {
		return nil, errors.Join(wrong(err), st.Close())
	}
	return st, nil
}

// greet says where the page is and what is missing.
func (c serveCmd) greet(ctx context.Context, w *world, s *server.Server, at net.Addr) error {
	code, err := s.SetupCode(ctx)
	if err != nil {
		return err
	}
	if !server.HasPage() {
		fmt.Fprintln(w.err, "coilwright: this program was built without its page (make build puts it in); the API is served all the same")
	}
	address := "http://" + at.String() + "/"
	if host, port, err := net.SplitHostPort(at.String()); err == nil && net.ParseIP(host).IsUnspecified() {
		address = "http://" + net.JoinHostPort(hostName(), port) + "/"
	}
	if code != "" {
		address += "#setup=" + code
		fmt.Fprintln(w.out, "There is no account yet. Make the first one there; it asks for the code", code)
	}
	_, err = fmt.Fprintf(w.out, "Coilwright is at %s\nStop it with Ctrl-C.\n", address)
	return err
}

func hostName() string {
	if name, err := os.Hostname(); err == nil {
		return name
	}
	return "localhost"
}

// onlyHere says whether only this machine can reach an address.
func onlyHere(at net.Addr) bool {
	a, err := netip.ParseAddrPort(at.String())
	return err == nil && a.Addr().IsLoopback()
}

// Limits of connections. Answers that stay open set their own.
const (
	slowestHeader = 5 * time.Second
	slowestBody   = 90 * time.Second
	slowestAnswer = 120 * time.Second
	idle          = 2 * time.Minute
	patience      = 10 * time.Second // for answers under way when the program stops
)

// serveUntil answers until ctx ends, then lets the answers under way finish.
func serveUntil(ctx context.Context, w *world, s *server.Server, l net.Listener) error {
	h := &http.Server{
		Handler: s, ReadHeaderTimeout: slowestHeader, ReadTimeout: slowestBody, WriteTimeout: slowestAnswer,
		IdleTimeout: idle, MaxHeaderBytes: 32 << 10, ErrorLog: slog.NewLogLogger(slog.NewTextHandler(w.err, nil), slog.LevelWarn),
	}
	h.RegisterOnShutdown(s.Close)
	failed := make(chan error, 1)
	go func() { failed <- h.Serve(l) }()
	select {
	case err := <-failed:
		s.Close()
		return err
	case <-ctx.Done():
	}
	late, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	err := h.Shutdown(late)
	fmt.Fprintln(w.out, "Stopped; everything is saved.")
	return err
}
