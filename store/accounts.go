package store

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/uptrace/bun"
)

// Account is somebody who may sign in. Secret is the caller's, such as a hash of
// the password; the store does not look into it.
type Account struct {
	ID, Shop, ShopTitle, Name, Secret string
}

// Home is the shop of a program that one machine uses without accounts.
const Home = "home"

type accountRow struct {
	bun.BaseModel `bun:"table:accounts"`
	ID            string `bun:"id,pk"`
	Shop          string
	Name          string
	NameKey       string
	Secret        string
	CreatedAt     int64
}

type sessionRow struct {
	bun.BaseModel `bun:"table:sessions"`
	Token         string `bun:"token,pk"`
	Data          string
	ExpiresAt     int64
}

func nameKey(name string) string { return strings.ToLower(strings.TrimSpace(plain(name, mostName))) }

// HasAccounts says whether anybody may sign in yet.
func (s *Store) HasAccounts(ctx context.Context) (bool, error) {
	n, err := s.read.NewSelect().Model((*accountRow)(nil)).Limit(1).Count(ctx)
	return n > 0, explain(err)
}

// AddShop makes a shop; one that is there already stays as it is.
func (s *Store) AddShop(ctx context.Context, id, title string) error {
	r := shopRow{ID: id, Title: plain(title, mostTitle), CreatedAt: s.now()}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		_, err := tx.NewInsert().Model(&r).On("CONFLICT (id) DO NOTHING").Exec(ctx)
		return err
	})
}

// First makes the first account, in the shop Home, so that what was made before
// there were accounts is its own. ErrTaken where there is an account already, also
// where two ask at once.
func (s *Store) First(ctx context.Context, shopTitle, name, secret string) (Account, error) {
	a := accountRow{ID: newID(), Shop: Home, Name: plain(name, mostName), NameKey: nameKey(name), Secret: secret, CreatedAt: s.now()}
	if a.NameKey == "" {
		return Account{}, fmt.Errorf("%w: a name is needed", ErrRefused)
	}
	shop := shopRow{ID: Home, Title: plain(shopTitle, mostTitle), CreatedAt: s.now()}
	err := s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		// The shop's row is written first: on PostgreSQL a second asker waits here
		// until the first is done, and then sees its account.
		if _, err := tx.NewInsert().Model(&shop).On("CONFLICT (id) DO UPDATE").Set("title = EXCLUDED.title").Exec(ctx); err != nil {
			return err
		}
		n, err := tx.NewSelect().Model((*accountRow)(nil)).Count(ctx)
		if err == nil && n > 0 {
			err = errSecond
		}
		if err != nil {
			return err
		}
		_, err = tx.NewInsert().Model(&a).Exec(ctx)
		return err
	})
	if errors.Is(err, errSecond) {
		return Account{}, fmt.Errorf("%w: there is an account already; sign in with it", ErrTaken)
	}
	return a.account(shop.Title), err
}

// errSecond gives up the whole unit, the shop's new title too.
var errSecond = errors.New("there is an account already")

// AddAccount makes an account in a shop.
func (s *Store) AddAccount(ctx context.Context, shop, name, secret string) (Account, error) {
	a := accountRow{ID: newID(), Shop: shop, Name: plain(name, mostName), NameKey: nameKey(name), Secret: secret, CreatedAt: s.now()}
	if a.NameKey == "" {
		return Account{}, fmt.Errorf("%w: a name is needed", ErrRefused)
	}
	err := s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		n, err := tx.NewSelect().Model((*accountRow)(nil)).Where("name_key = ?", a.NameKey).Count(ctx)
		if err == nil && n > 0 {
			err = turnBack(ErrTaken)
		}
		if err != nil {
			return err
		}
		_, err = tx.NewInsert().Model(&a).Exec(ctx)
		return err
	})
	return a.account(""), err
}

func (a accountRow) account(shopTitle string) Account {
	return Account{ID: a.ID, Shop: a.Shop, ShopTitle: shopTitle, Name: a.Name, Secret: a.Secret}
}

// AccountByName finds who signs in; letters' case does not matter.
func (s *Store) AccountByName(ctx context.Context, name string) (Account, error) {
	return s.account(ctx, "name_key = ?", nameKey(name))
}

// AccountByID finds whom a session belongs to.
func (s *Store) AccountByID(ctx context.Context, id string) (Account, error) {
	return s.account(ctx, "id = ?", id)
}

func (s *Store) account(ctx context.Context, where, value string) (Account, error) {
	var a accountRow
	if err := s.read.NewSelect().Model(&a).Where(where, value).Scan(ctx); err != nil {
		return Account{}, explain(err)
	}
	var shop shopRow
	if err := s.read.NewSelect().Model(&shop).Where("id = ?", a.Shop).Scan(ctx); err != nil {
		return Account{}, explain(err)
	}
	return a.account(shop.Title), nil
}

// Sessions keeps sessions by token, for any server on this database. Its methods
// are those that github.com/alexedwards/scs asks of a store.
type Sessions struct{ s *Store }

// Sessions gives the sessions.
func (s *Store) Sessions() Sessions { return Sessions{s} }

// FindCtx gives a session's data; false where there is none or it has ended.
func (x Sessions) FindCtx(ctx context.Context, token string) ([]byte, bool, error) {
	var r sessionRow
	err := x.s.read.NewSelect().Model(&r).Where("token = ?", Hash([]byte(token))).Where("expires_at > ?", x.s.now()).Scan(ctx)
	if err = explain(err); errors.Is(err, ErrNotFound) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, err
	}
	data, err := base64.StdEncoding.DecodeString(r.Data)
	return data, err == nil, err
}

// CommitCtx saves a session and sweeps out those that have ended. The token itself
// is not kept: who reads the database cannot sign in with it.
func (x Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	r := sessionRow{Token: Hash([]byte(token)), Data: base64.StdEncoding.EncodeToString(data), ExpiresAt: expiry.UnixMicro()}
	return x.s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		if _, err := tx.NewDelete().Model((*sessionRow)(nil)).Where("expires_at <= ?", x.s.now()).Exec(ctx); err != nil {
			return err
		}
		_, err := tx.NewInsert().Model(&r).On("CONFLICT (token) DO UPDATE").
			Set("data = EXCLUDED.data").Set("expires_at = EXCLUDED.expires_at").Exec(ctx)
		return err
	})
}

// DeleteCtx ends a session.
func (x Sessions) DeleteCtx(ctx context.Context, token string) error {
	return x.s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		_, err := tx.NewDelete().Model((*sessionRow)(nil)).Where("token = ?", Hash([]byte(token))).Exec(ctx)
		return err
	})
}

// Find, Commit and Delete are for callers without a context.
func (x Sessions) Find(token string) ([]byte, bool, error) {
	return x.FindCtx(context.Background(), token)
}

// Commit is CommitCtx without a context.
func (x Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return x.CommitCtx(context.Background(), token, data, expiry)
}

// Delete is DeleteCtx without a context.
func (x Sessions) Delete(token string) error { return x.DeleteCtx(context.Background(), token) }
