package sheet

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// ErrFolder is matched by every error of Write.
var ErrFolder = errors.New("the papers could not be written")

// WriteError says which folder or file could not be written; nothing of the set
// was left behind.
type WriteError struct {
	Path  string
	Cause error
}

func (e *WriteError) Error() string {
	why := e.Cause.Error()
	switch {
	case errors.Is(e.Cause, fs.ErrPermission):
		why = "you may not write there; choose another folder"
	case errors.Is(e.Cause, errNotFolder):
		why = "it is a file, not a folder; choose another name"
	}
	return fmt.Sprintf("%s: %s: %s", ErrFolder, e.Path, why)
}

// Unwrap makes errors.Is true for ErrFolder and for the cause.
func (e *WriteError) Unwrap() []error { return []error{ErrFolder, e.Cause} }

var errNotFolder = errors.New("not a folder")

// Write puts all files into dir, whole or not at all: each is written beside its
// place first; only when all are safe do they take their names, and if one cannot,
// those before it are put back as they were. dir is made if it is missing. It gives
// the paths written. Errors are *WriteError.
func Write(dir string, files []File) ([]string, error) {
	made, err := folder(dir)
	if err != nil {
		return nil, &WriteError{dir, err}
	}
	scratch, err := os.MkdirTemp(dir, ".papers-")
	if err == nil {
		err = swap(dir, scratch, files)
		if rm := os.RemoveAll(scratch); err == nil && rm != nil {
			err = rm
		}
	}
	if err != nil {
		removeEmpty(made)
		var w *WriteError
		if errors.As(err, &w) {
			return nil, err
		}
		return nil, &WriteError{dir, err}
	}
	paths := make([]string, len(files))
	for i, f := range files {
		paths[i] = filepath.Join(dir, f.Name)
	}
	return paths, nil
}

// folder makes dir and its parents and gives those that it made, innermost first.
func folder(dir string) (made []string, err error) {
	for d := filepath.Clean(dir); ; d = filepath.Dir(d) {
		info, err := os.Stat(d)
		if err == nil && !info.IsDir() {
			return nil, errNotFolder
		}
		if err == nil || filepath.Dir(d) == d {
			break
		}
		made = append(made, d)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		removeEmpty(made)
		return nil, err
	}
	return made, nil
}

func removeEmpty(dirs []string) {
	for _, d := range dirs {
		os.Remove(d) //nolint:errcheck // a folder that others filled meanwhile stays
	}
}

// swap writes the files into scratch, then moves each to its place in dir.
func swap(dir, scratch string, files []File) error {
	for _, f := range files {
		if f.Name == "" || filepath.Base(f.Name) != f.Name {
			return &WriteError{f.Name, errors.New("it is no plain file name")}
		}
		if err := writeSynced(filepath.Join(scratch, f.Name), f.Bytes); err != nil {
			return err
		}
	}
	var undo []func()
	for _, f := range files {
		back, err := place(dir, scratch, f.Name)
		if err != nil {
			for i := len(undo) - 1; i >= 0; i-- {
				undo[i]()
			}
			return &WriteError{filepath.Join(dir, f.Name), err}
		}
		undo = append(undo, back)
	}
	return nil
}

func writeSynced(path string, b []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if _, err = f.Write(b); err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// place moves one file to its name and gives the way back: to what stood there
// before, or to nothing.
func place(dir, scratch, name string) (undo func(), err error) {
	to, old := filepath.Join(dir, name), filepath.Join(scratch, "old-"+name)
	undo = func() { os.Remove(to) } //nolint:errcheck // nothing more can be done
	info, err := os.Lstat(to)
	switch {
	case err == nil && info.IsDir():
		return nil, errors.New("a folder of that name is in the way")
	case err == nil:
		if err := os.Rename(to, old); err != nil {
			return nil, err
		}
		undo = func() { os.Rename(old, to) } //nolint:errcheck // nothing more can be done
	case !errors.Is(err, fs.ErrNotExist):
		return nil, err
	}
	if err := os.Rename(filepath.Join(scratch, name), to); err != nil {
		undo()
		return nil, err
	}
	return undo, nil
}
