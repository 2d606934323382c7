package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"github.com/uptrace/bun"
)

// OfferState is where an offer stands.
type OfferState string

// The states. An open offer may be signed or taken back; a signed one is replaced
// when a later change is signed. What the shop bears itself needs no signature.
const (
	OfferOpen     OfferState = "open"
	OfferSigned   OfferState = "signed"
	OfferReplaced OfferState = "replaced"
	OfferRevoked  OfferState = "revoked"
	OfferBorne    OfferState = "borne"
)

// Offer is what was offered and what became of it. Document, Options, Signature and
// Countersign are the caller's texts; the store does not look into them.
type Offer struct {
	ID, Job, Kind string
	State         OfferState
	Revision      int64
	LinkUntil     time.Time
	Document      string // the complete job; empty in lists
	Options       string
	Instead       string // id of the signed offer that this one changes; empty for a first one
	Signed        string // digest of what was signed; empty until then
	Signature     string
	Countersign   string
	At            time.Time
	By            string
}

// Errors about offers that callers match.
var (
	ErrOfferState = errors.New("this cannot be done any more: it was signed, paid or taken back meanwhile")
	ErrOfferOther = errors.New("something else was signed for this job meanwhile; read it first")
)

type offerRow struct {
	bun.BaseModel `bun:"table:offers"`
	ID            string `bun:"id,pk"`
	Shop          string
	Job           string
	Kind          string
	State         OfferState
	Revision      int64
	Token         string
	LinkUntil     int64
	Document      string
	Options       string
	Instead       string
	Signed        string
	Signature     string
	Countersign   string
	CreatedAt     int64
	CreatedBy     string
}

func (r offerRow) offer() Offer {
	return Offer{
		ID: r.ID, Job: r.Job, Kind: r.Kind, State: r.State, Revision: r.Revision, LinkUntil: moment(r.LinkUntil), Document: r.Document,
		Options: r.Options, Instead: r.Instead, Signed: r.Signed, Signature: r.Signature, Countersign: r.Countersign,
		At: moment(r.CreatedAt), By: r.CreatedBy,
	}
}

type offerEventRow struct {
	bun.BaseModel `bun:"table:offer_events"`
	Offer         string `bun:"offer,pk"`
	Number        int64  `bun:"number,pk"`
	At            int64
	Kind          string
	ByName        string
	What          string
}

// OfferEvent is one thing that happened around an offer: it was sent, looked at,
// asked about, refused, signed.
type OfferEvent struct {
	At             time.Time
	Kind, By, What string
}

// tokenHash is what is kept of a link's token.
func tokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// newToken is 130 random bits in base32.
func newToken() string { return rand.Text() }

// AddOffer keeps an offer and gives the token of its link, which is kept nowhere.
func (s *Store) AddOffer(ctx context.Context, who Who, o Offer) (Offer, string, error) {
	if _, err := s.Head(ctx, who.Shop, o.Job); err != nil {
		return Offer{}, "", err
	}
	token := newToken()
	r := offerRow{
		ID: newID(), Shop: who.Shop, Job: o.Job, Kind: o.Kind, State: OfferOpen, Revision: o.Revision, Token: tokenHash(token),
		LinkUntil: o.LinkUntil.UnixMicro(), Document: o.Document, Options: o.Options, Instead: o.Instead,
		CreatedAt: s.now(), CreatedBy: plain(who.Name, mostName),
	}
	err := s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		if _, err := tx.NewInsert().Model(&r).Exec(ctx); err != nil {
			return err
		}
		return s.addEvent(ctx, tx, r.ID, OfferEvent{Kind: "sent", By: who.Name, What: fmt.Sprintf("revision %d", o.Revision)})
	})
	return r.offer(), token, err
}

// Offers lists a job's offers, the latest first, without their documents.
func (s *Store) Offers(ctx context.Context, shop, job string) ([]Offer, error) {
	if _, err := s.Head(ctx, shop, job); err != nil {
		return nil, err
	}
	var rows []offerRow
	err := s.read.NewSelect().Model(&rows).ExcludeColumn("document").Where("job = ?", job).Where("shop = ?", shop).OrderExpr("created_at DESC, id DESC").Limit(500).Scan(ctx)
	out := make([]Offer, len(rows))
	for i, r := range rows {
		out[i] = r.offer()
	}
	return out, explain(err)
}

// Offer gives one offer of a shop's job.
func (s *Store) Offer(ctx context.Context, shop, job, id string) (Offer, error) {
	if !isID(job) || !isID(id) {
		return Offer{}, ErrNotFound
	}
	var r offerRow
	err := s.read.NewSelect().Model(&r).Where("id = ?", id).Where("job = ?", job).Where("shop = ?", shop).Scan(ctx)
	return r.offer(), explain(err)
}

// OfferByToken gives the offer that a link leads to and its shop, whatever its
// state: the caller says why it no longer serves.
func (s *Store) OfferByToken(ctx context.Context, token string) (Offer, string, error) {
	var r offerRow
	err := s.read.NewSelect().Model(&r).Where("token = ?", tokenHash(token)).Scan(ctx)
	return r.offer(), r.Shop, explain(err)
}

// Relink gives an offer another link; the old one leads nowhere from then on.
func (s *Store) Relink(ctx context.Context, who Who, job, id string, until time.Time) (string, error) {
	token := newToken()
	err := s.changeOffer(ctx, who, job, id, OfferEvent{Kind: "link", By: who.Name, What: "another link"}, func(u *bun.UpdateQuery) *bun.UpdateQuery {
		return u.Set("token = ?", tokenHash(token)).Set("link_until = ?", until.UnixMicro()).Where("state <> ?", OfferRevoked)
	})
	return token, err
}

// MoveOffer takes an open offer back, or has the shop bear it.
func (s *Store) MoveOffer(ctx context.Context, who Who, job, id string, to OfferState, what string) error {
	return s.changeOffer(ctx, who, job, id, OfferEvent{Kind: string(to), By: who.Name, What: what}, func(u *bun.UpdateQuery) *bun.UpdateQuery {
		return u.Set("state = ?", to).Where("state = ?", OfferOpen)
	})
}

// Countersign puts the shop's signature under a signed offer, once.
func (s *Store) Countersign(ctx context.Context, who Who, job, id, signature string) error {
	return s.changeOffer(ctx, who, job, id, OfferEvent{Kind: "countersigned", By: who.Name}, func(u *bun.UpdateQuery) *bun.UpdateQuery {
		return u.Set("countersign = ?", signature).Where("state IN (?, ?)", OfferSigned, OfferReplaced).Where("countersign = ''")
	})
}

func (s *Store) changeOffer(ctx context.Context, who Who, job, id string, ev OfferEvent, set func(*bun.UpdateQuery) *bun.UpdateQuery) error {
	if _, err := s.Offer(ctx, who.Shop, job, id); err != nil {
		return err
	}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		if err := one(set(tx.NewUpdate().Model((*offerRow)(nil)).Where("id = ?", id)).Exec(ctx)); err != nil {
			return err
		}
		return s.addEvent(ctx, tx, id, ev)
	})
}

// one turns back where not exactly one row was changed.
func one(r interface{ RowsAffected() (int64, error) }, err error) error {
	if err != nil {
		return err
	}
	n, err := r.RowsAffected()
	if err == nil && n != 1 {
		return turnBack(ErrOfferState)
	}
	return err
}

// SignOffer signs an open offer, once, whoever else tries at the same time. A first
// offer can be signed only while nothing is signed for the job; a change only while
// what it changes is what is signed.
func (s *Store) SignOffer(ctx context.Context, id, digest, signature, name string) error {
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		r, err := lockedOffer(ctx, tx, id)
		if err != nil {
			return err
		}
		if err := mayReplace(ctx, tx, r); err != nil {
			return err
		}
		if _, err := tx.NewUpdate().Model((*offerRow)(nil)).Set("state = ?", OfferSigned).Set("signed = ?", digest).Set("signature = ?", signature).
			Where("id = ?", id).Exec(ctx); err != nil {
			return err
		}
		if _, err := tx.NewUpdate().Model((*offerRow)(nil)).Set("state = ?", OfferReplaced).Where("id = ?", r.Instead).Exec(ctx); err != nil {
			return err
		}
		return s.addEvent(ctx, tx, id, OfferEvent{Kind: "signed", By: name, What: digest})
	})
}

// lockedOffer reads an open offer behind its job's row, which is written as it was
// so that on PostgreSQL a second signer of the job waits here.
func lockedOffer(ctx context.Context, tx bun.Tx, id string) (offerRow, error) {
	var r offerRow
	_, err := tx.NewUpdate().Model((*jobRow)(nil)).Set("stage = stage").Where("id = (SELECT job FROM offers WHERE id = ?)", id).Exec(ctx)
	if err == nil {
		err = tx.NewSelect().Model(&r).ExcludeColumn("document").Where("id = ?", id).Scan(ctx)
	}
	if err == nil && r.State != OfferOpen {
		err = turnBack(ErrOfferState)
	}
	return r, err
}

// mayReplace says whether what an offer would take the place of is what is signed.
func mayReplace(ctx context.Context, tx bun.Tx, r offerRow) error {
	var before []offerRow
	err := tx.NewSelect().Model(&before).Column("id").Where("job = ?", r.Job).Where("state = ?", OfferSigned).Scan(ctx)
	if err != nil {
		return err
	}
	if len(before) == 0 && r.Instead == "" || len(before) == 1 && before[0].ID == r.Instead {
		return nil
	}
	return turnBack(ErrOfferOther)
}

// NoteOffer records what happened around an offer.
func (s *Store) NoteOffer(ctx context.Context, id string, ev OfferEvent) error {
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error { return s.addEvent(ctx, tx, id, ev) })
}

// mostOfferEvents bounds what a stranger with a link can make the shop keep.
const mostOfferEvents = 2000

func (s *Store) addEvent(ctx context.Context, tx bun.Tx, offer string, ev OfferEvent) error {
	n, err := tx.NewSelect().Model((*offerEventRow)(nil)).Where("offer = ?", offer).Count(ctx)
	if err != nil || n >= mostOfferEvents {
		return err
	}
	_, err = tx.NewInsert().Model(&offerEventRow{
		Offer: offer, Number: int64(n + 1), At: s.now(), Kind: plain(ev.Kind, mostName), ByName: plain(ev.By, mostName), What: plain(ev.What, 2*mostSaid),
	}).Exec(ctx)
	return err
}

// mostSaid is how long a question or an answer may be, in letters.
const mostSaid = 1000

// OfferEvents lists what happened around an offer, in order.
func (s *Store) OfferEvents(ctx context.Context, id string) ([]OfferEvent, error) {
	var rows []offerEventRow
	err := s.read.NewSelect().Model(&rows).Where("offer = ?", id).OrderExpr("number").Scan(ctx)
	out := make([]OfferEvent, len(rows))
	for i, r := range rows {
		out[i] = OfferEvent{moment(r.At), r.Kind, r.ByName, r.What}
	}
	return out, explain(err)
}
