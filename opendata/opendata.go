// Package opendata finds the published tables, instances and scenes that tests and
// benchmarks are checked against. They lie in ../shared/data beside the repository
// and are no part of it.
package opendata

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// ErrAbsent says that the data do not lie beside the repository.
var ErrAbsent = errors.New("shared/data does not lie beside the repository")

// Find gives the place of a file or folder below shared/data: in the folder that
// COILWRIGHT_SHARED names, else walking up from the working folder. It gives
// ErrAbsent where there is none.
func Find(path ...string) (string, error) {
	below := filepath.Join(append([]string{"data"}, path...)...)
	if root := os.Getenv("COILWRIGHT_SHARED"); root != "" {
		return exists(filepath.Join(root, below))
	}
	dir, err := os.Getwd()
	for err == nil {
		if at, err := exists(filepath.Join(dir, "shared", below)); err == nil {
			return at, nil
		}
		if dir == filepath.Dir(dir) {
			break
		}
		dir = filepath.Dir(dir)
	}
	return "", ErrAbsent
}

func exists(at string) (string, error) {
	if _, err := os.Stat(at); err != nil {
		return "", ErrAbsent
	}
	return at, nil
}

// Need is Find for a test: without the data it is skipped and says so. what names
// what there is then nothing to check against.
func Need(t testing.TB, what string, path ...string) string {
	t.Helper()
	at, err := Find(path...)
	if err != nil {
		t.Skipf("%v: %s (%s) cannot be checked against", err, what, filepath.Join(path...))
	}
	return at
}
