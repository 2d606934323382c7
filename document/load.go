package document

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// ErrFile is matched by every error of Load.
var ErrFile = errors.New("not a file that can be read")

// FileError says why a file cannot be read, and the mend.
type FileError struct {
	Name, What, Mend string
	Cause            error
}

func (e *FileError) Error() string { return fmt.Sprintf("%s: %s; %s", e.Name, e.What, e.Mend) }

// Unwrap makes errors.Is true for ErrFile and for the cause, such as fs.ErrNotExist.
func (e *FileError) Unwrap() []error { return []error{ErrFile, e.Cause} }

// Load reads a file whole, but never more than MaxSize: a larger one is refused
// unread. Errors are *FileError or, for size, *SyntaxError.
func Load(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, fileError(path, err)
	case info.IsDir():
		return nil, &FileError{path, "it is a folder", "name the file inside it", fs.ErrInvalid}
	case info.Size() > MaxSize:
		return nil, tooLarge(path)
	}
	data, err := io.ReadAll(io.LimitReader(f, MaxSize+1))
	if err != nil {
		return nil, fileError(path, err)
	}
	if len(data) > MaxSize {
		return nil, tooLarge(path)
	}
	return data, nil
}

func fileError(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &FileError{path, "there is no such file", "check its name and folder", err}
	case errors.Is(err, fs.ErrPermission):
		return &FileError{path, "the file may not be read", "ask for the right to read it", err}
	}
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return &FileError{path, "it cannot be read (" + err.Error() + ")", "check the file and its disk", err}
}
