package store

import (
	"context"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"gocloud.dev/blob"
	"gocloud.dev/blob/fileblob"
	_ "gocloud.dev/blob/s3blob" // s3://
)

// openFiles opens the folder or bucket for photos and papers.
func openFiles(ctx context.Context, where string) (*blob.Bucket, error) {
	if strings.Contains(where, "://") {
		return blob.OpenBucket(ctx, where)
	}
	dir, err := filepath.Abs(where)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	return fileblob.OpenBucket(dir, &fileblob.Options{NoTempDir: true, Metadata: fileblob.MetadataDontWrite})
}

// place is where a content lies: by shop and hash, so that equal contents of a
// shop lie there once and no name that a person gave is part of a path.
func place(shop, hash string) string {
	return url.PathEscape(shop) + "/" + hash[:2] + "/" + hash
}
