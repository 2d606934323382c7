package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/uptrace/bun"
)

// BookVersion is one saved version of a shop's book. Document is empty in lists;
// what it means is not the store's business.
type BookVersion struct {
	Version  int64
	Document []byte
	At       time.Time
	By, What string
}

type bookRow struct {
	bun.BaseModel `bun:"table:books"`
	Shop          string `bun:"shop,pk"`
	Version       int64  `bun:"version,pk"`
	Document      string
	At            int64
	ByName        string
	What          string
}

func (r bookRow) version() BookVersion {
	v := BookVersion{Version: r.Version, At: moment(r.At), By: r.ByName, What: r.What}
	if r.Document != "" {
		v.Document = []byte(r.Document)
	}
	return v
}

// SaveBook keeps a shop's book as the version after base, the newest that its
// writer has seen (0: there was none). ErrStale where somebody saved one meanwhile.
func (s *Store) SaveBook(ctx context.Context, who Who, base int64, document []byte, what string) (BookVersion, error) {
	r := bookRow{Shop: who.Shop, Version: base + 1, Document: string(compact(document)), At: s.now(), ByName: plain(who.Name, mostName), What: plain(what, mostWhat)}
	err := s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		// The shop's row first, so that on PostgreSQL a second writer waits here.
		if err := one(tx.NewUpdate().Model((*shopRow)(nil)).Set("title = title").Where("id = ?", who.Shop).Exec(ctx)); err != nil {
			return err
		}
		newest, err := newestBook(ctx, tx, who.Shop)
		if err != nil {
			return err
		}
		if newest != base {
			return turnBack(fmt.Errorf("%w: the shop's book was saved as version %d meanwhile; look at it first", ErrStale, newest))
		}
		_, err = tx.NewInsert().Model(&r).Exec(ctx)
		return err
	})
	if errors.Is(err, ErrOfferState) {
		err = ErrNotFound // there is no such shop
	}
	return r.version(), err
}

func newestBook(ctx context.Context, db bun.IDB, shop string) (n int64, err error) {
	err = db.NewSelect().Model((*bookRow)(nil)).ColumnExpr("COALESCE(MAX(version), 0)").Where("shop = ?", shop).Scan(ctx, &n)
	return n, err
}

// NewestBook is the number of a shop's newest version; 0 where it saved none.
func (s *Store) NewestBook(ctx context.Context, shop string) (int64, error) {
	n, err := newestBook(ctx, s.read, shop)
	return n, explain(err)
}

// Book gives one version of a shop's book.
func (s *Store) Book(ctx context.Context, shop string, version int64) (BookVersion, error) {
	var r bookRow
	err := s.read.NewSelect().Model(&r).Where("shop = ?", shop).Where("version = ?", version).Scan(ctx)
	return r.version(), explain(err)
}

// Books lists a shop's versions, the newest first, without their documents.
func (s *Store) Books(ctx context.Context, shop string) ([]BookVersion, error) {
	var rows []bookRow
	err := s.read.NewSelect().Model(&rows).ExcludeColumn("document").Where("shop = ?", shop).OrderExpr("version DESC").Limit(500).Scan(ctx)
	out := make([]BookVersion, len(rows))
	for i, r := range rows {
		out[i] = r.version()
	}
	return out, explain(err)
}

type shopFileRow struct {
	bun.BaseModel `bun:"table:shop_files"`
	Shop          string `bun:"shop,pk"`
	Hash          string `bun:"hash,pk"`
	Place         string
	Media         string
	Size          int64
	CreatedAt     int64
}

// PutShopFile keeps a picture of the shop's own, such as its letterhead's, under
// the hash of its bytes, for good: papers that were made with it name it so.
func (s *Store) PutShopFile(ctx context.Context, shop string, c Content) (hash string, err error) {
	r := shopFileRow{Shop: shop, Hash: Hash(c.Bytes), Media: plain(c.Media, mostName), Size: int64(len(c.Bytes)), CreatedAt: s.now()}
	r.Place = "shop-" + shop + "/" + r.Hash
	if err := s.files.put(ctx, r.Place, c); err != nil {
		return "", explain(err)
	}
	return r.Hash, s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		_, err := tx.NewInsert().Model(&r).On("CONFLICT (shop, hash) DO NOTHING").Exec(ctx)
		return err
	})
}

// ShopFile gives the bytes of a picture of the shop's own.
func (s *Store) ShopFile(ctx context.Context, shop, hash string) (Content, error) {
	var r shopFileRow
	if !isID(hash) {
		return Content{}, ErrNotFound
	}
	if err := s.read.NewSelect().Model(&r).Where("shop = ?", shop).Where("hash = ?", hash).Scan(ctx); err != nil {
		return Content{}, explain(err)
	}
	b, err := s.files.read(ctx, r.Place)
	if err != nil {
		return Content{}, err
	}
	defer b.Close() //nolint:errcheck // read only
	bytes, err := io.ReadAll(b)
	return Content{Name: r.Hash, Media: r.Media, Bytes: bytes}, explain(err)
}
