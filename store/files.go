package store

import (
	"context"
	"database/sql"
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
		return openBucket(ctx, where)
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

// answersWithin is how long a bucket may take to answer at the start.
const answersWithin = 20 * time.Second

// openBucket opens a bucket that is there and answers.
func openBucket(ctx context.Context, where string) (*fileStore, error) {
	b, err := blob.OpenBucket(ctx, where)
	if err != nil {
		return nil, err
	}
	ctx, done := context.WithTimeout(ctx, answersWithin)
	defer done()
	there, err := b.IsAccessible(ctx)
	switch {
	case err != nil:
		err = fmt.Errorf("%w (%w)", ErrNoFiles, err)
	case !there:
		err = fmt.Errorf("there is no bucket %s", strings.SplitN(where, "?", 2)[0])
	default:
		return &fileStore{Bucket: b}, nil
	}
	return nil, errors.Join(err, b.Close())
}

// trouble is what failed in the file store: a bucket's own words stay within it.
func (f *fileStore) trouble(err error) error {
	if err == nil || f.folder != "" && !errors.Is(err, fs.ErrNotExist) || errors.Is(err, context.Canceled) {
		return explain(err)
	}
	return fmt.Errorf("%w (%w)", ErrNoFiles, err)
}

// put writes one content and, in a folder, waits until it has reached the disk.
func (f *fileStore) put(ctx context.Context, place string, c Content) error {
	if err := f.WriteAll(ctx, place, c.Bytes, &blob.WriterOptions{ContentType: c.Media}); err != nil || f.folder == "" {
		return f.trouble(err)
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

// read opens one content; the caller closes it.
func (f *fileStore) read(ctx context.Context, place string) (io.ReadCloser, error) {
	b, err := f.NewReader(ctx, place, nil)
	if err == nil {
		return b, nil
	}
	if gcerrors.Code(err) == gcerrors.NotFound {
		return nil, fmt.Errorf("%w: %s is not there (%w)", ErrNoFiles, place, err)
	}
	return nil, f.trouble(err)
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

// LacksFiles says that the newest file which the database names is not kept here: the
// folder or bucket is another database's, or an older copy.
func (s *Store) LacksFiles(ctx context.Context) (bool, error) {
	var r fileRow
	err := s.read.NewSelect().Model(&r).OrderExpr("created_at DESC").Limit(1).Scan(ctx)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	if err != nil {
		return false, explain(err)
	}
	there, err := s.files.Exists(ctx, r.Place)
	return !there && err == nil, s.files.trouble(err)
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
	b, err := s.files.read(ctx, r.Place)
	return r.file(), b, err
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
