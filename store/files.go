package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/uptrace/bun"
	"gocloud.dev/blob"
	"gocloud.dev/blob/fileblob"
	_ "gocloud.dev/blob/s3blob" // s3://
	"gocloud.dev/gcerrors"
)

// File is a photo or a paper of a job.
type File struct {
	Name, Media string
	Size        int64
	Hash        string
	At          time.Time
}

// Content is a file to be kept.
type Content struct {
	Name, Media string
	Bytes       []byte
}

type fileRow struct {
	bun.BaseModel `bun:"table:files"`
	Shop          string
	Job           string `bun:"job,pk"`
	Name          string `bun:"name,pk"`
	Place         string
	Media         string
	Size          int64
	Hash          string
	Ord           int
	CreatedAt     int64
}

func (r fileRow) file() File { return File{r.Name, r.Media, r.Size, r.Hash, moment(r.CreatedAt)} }

// fileStore is a folder or a bucket.
type fileStore struct {
	*blob.Bucket
	folder string // empty for a bucket, whose server sees to durability
}

// openFiles opens the folder or bucket for photos and papers.
func openFiles(ctx context.Context, where string) (*fileStore, error) {
	if strings.Contains(where, "://") {
		b, err := blob.OpenBucket(ctx, where)
		return &fileStore{Bucket: b}, err
	}
	dir, err := filepath.Abs(where)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	b, err := fileblob.OpenBucket(dir, &fileblob.Options{NoTempDir: true, Metadata: fileblob.MetadataDontWrite, DirFileMode: 0o700})
	return &fileStore{b, dir}, err
}

// put writes one content and, in a folder, waits until it has reached the disk.
func (f *fileStore) put(ctx context.Context, place string, c Content) error {
	if err := f.WriteAll(ctx, place, c.Bytes, &blob.WriterOptions{ContentType: c.Media}); err != nil || f.folder == "" {
		return err
	}
	path := filepath.Join(f.folder, filepath.FromSlash(place))
	return errors.Join(synced(path), synced(filepath.Dir(path)))
}

func synced(path string) error {
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}

// PutFiles keeps files of a job, all or none, in place of those whose names begin
// with replaced; "" replaces only equal names.
func (s *Store) PutFiles(ctx context.Context, shop, job, replaced string, files []Content) error {
	if _, err := s.Head(ctx, shop, job); err != nil {
		return err
	}
	rows, err := s.lay(ctx, shop, job, files)
	if err != nil {
		s.drop(ctx, rows)
		return explain(err)
	}
	var old []fileRow
	err = s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		old = old[:0]
		if old, err = replace(ctx, tx, job, replaced, rows); err != nil {
			return err
		}
		_, err := tx.NewInsert().Model(&rows).Exec(ctx)
		return err
	})
	if err != nil {
		s.drop(ctx, rows)
		return err
	}
	s.drop(ctx, old)
	return nil
}

// lay puts the bytes into the file store, each under a name that nothing else has:
// until their rows are written nobody sees them.
func (s *Store) lay(ctx context.Context, shop, job string, files []Content) ([]fileRow, error) {
	var rows []fileRow
	for i, c := range files {
		if c.Name == "" || c.Name != plain(c.Name, 300) {
			return rows, fmt.Errorf("%w: a file needs a name of at most 300 letters", ErrRefused)
		}
		r := fileRow{
			Shop: shop, Job: job, Name: c.Name, Place: job + "/" + newID() + newID(), Media: plain(c.Media, mostName),
			Size: int64(len(c.Bytes)), Hash: Hash(c.Bytes), Ord: i, CreatedAt: s.now(),
		}
		rows = append(rows, r)
		if err := s.files.put(ctx, r.Place, c); err != nil {
			return rows, err
		}
	}
	return rows, nil
}

// replace takes the rows away that make room for new ones.
func replace(ctx context.Context, tx bun.Tx, job, prefix string, rows []fileRow) ([]fileRow, error) {
	names := []string{}
	for _, r := range rows {
		names = append(names, r.Name)
	}
	var old []fileRow
	err := tx.NewSelect().Model(&old).Where("job = ?", job).WhereGroup(" AND ", func(q *bun.SelectQuery) *bun.SelectQuery {
		if q = q.Where("name IN (?)", bun.List(names)); prefix != "" {
			q = q.WhereOr("substr(name, 1, ?) = ?", utf8.RuneCountInString(prefix), prefix)
		}
		return q
	}).Scan(ctx)
	if err != nil || len(old) == 0 {
		return nil, err
	}
	_, err = tx.NewDelete().Model(&old).WherePK().Exec(ctx)
	return old, err
}

// drop takes bytes away that no row names any more. What cannot be taken away now
// stays, seen by nobody.
func (s *Store) drop(ctx context.Context, rows []fileRow) {
	for _, r := range rows {
		s.files.Delete(context.WithoutCancel(ctx), r.Place) //nolint:errcheck // see above
	}
}

// Files lists a job's files whose names begin with prefix, in the order they were
// put.
func (s *Store) Files(ctx context.Context, shop, job, prefix string) ([]File, error) {
	if _, err := s.Head(ctx, shop, job); err != nil {
		return nil, err
	}
	var rows []fileRow
	err := s.read.NewSelect().Model(&rows).Where("job = ?", job).Where("substr(name, 1, ?) = ?", utf8.RuneCountInString(prefix), prefix).
		OrderExpr("created_at, ord, name").Scan(ctx)
	out := make([]File, len(rows))
	for i, r := range rows {
		out[i] = r.file()
	}
	return out, explain(err)
}

// OpenFile gives a file's bytes; the caller closes them.
func (s *Store) OpenFile(ctx context.Context, shop, job, name string) (File, io.ReadCloser, error) {
	var r fileRow
	if !isID(job) || name != plain(name, 300) {
		return File{}, nil, ErrNotFound
	}
	err := s.read.NewSelect().Model(&r).Where("job = ?", job).Where("shop = ?", shop).Where("name = ?", name).Scan(ctx)
	if err != nil {
		return File{}, nil, explain(err)
	}
	b, err := s.files.NewReader(ctx, r.Place, nil)
	if gcerrors.Code(err) == gcerrors.NotFound || errors.Is(err, fs.ErrNotExist) {
		return File{}, nil, fmt.Errorf("%w: the file store has lost %s", ErrAway, r.Place)
	}
	return r.file(), b, explain(err)
}

// RemoveFile takes a file away.
func (s *Store) RemoveFile(ctx context.Context, shop, job, name string) error {
	if _, err := s.Head(ctx, shop, job); err != nil {
		return err
	}
	var old []fileRow
	err := s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) (err error) {
		old, err = replace(ctx, tx, job, "", []fileRow{{Name: name}})
		if err == nil && len(old) == 0 {
			return turnBack(ErrNotFound)
		}
		return err
	})
	if err == nil {
		s.drop(ctx, old)
	}
	return err
}
