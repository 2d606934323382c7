package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"time"

	"coilwright/change"
	"coilwright/document"
	"coilwright/job"
	"coilwright/price"
	"coilwright/steel"
	"coilwright/store"
)

// ShopBook is one version of the shop's own book, or the demo book while it has
// saved none.
type ShopBook struct {
	BookLine
	Newest   int64           `json:"newest"`
	Title    string          `json:"title"`
	Currency string          `json:"currency"`
	Document json.RawMessage `json:"document" doc:"The whole book, as a job file holds one under shop"`
	Figures  []FigureView    `json:"figures" doc:"Every price and rate that it has or that an estimate may ask for"`
	Lacks    []Lack          `json:"lacks" doc:"What must be there before an offer can be sent"`
}

// BookLine is one saved version.
type BookLine struct {
	Version int64     `json:"version" doc:"0: the demo book, nothing was saved yet"`
	At      time.Time `json:"at"`
	By      string    `json:"by"`
	What    string    `json:"what"`
}

type shopBookOut struct{ Body ShopBook }

type saveBookIn struct {
	Body struct {
		Base  int64     `json:"base" minimum:"0" doc:"The version that was looked at; another one saved meanwhile is refused"`
		What  string    `json:"what" minLength:"1" maxLength:"300" doc:"The change in words"`
		Patch []PatchOp `json:"patch" nullable:"false" minItems:"1" maxItems:"2000"`
	}
}

type bookVersionIn struct {
	Version int64 `path:"version" minimum:"1"`
	Body    struct {
		Base int64 `json:"base" minimum:"0"`
	}
}

type bookLinesOut struct {
	Body struct {
		Versions []BookLine `json:"versions"`
	}
}

func (s *Server) registerShopBook() {
	const tag, at = "book", "/api/shop-book"
	handle(s, operation("GET", at, "get-shop-book", tag, "The shop's own book with its prices, rates and words", 404), s.getShopBook)
	handle(s, operation("POST", at+"/changes", "save-shop-book", tag, "Save a changed book as its next version; one that cannot be is refused", 412), s.saveShopBook)
	handle(s, operation("GET", at+"/versions", "list-book-versions", tag, "Every version saved, who did and when"), s.listBooks)
	handle(s, operation("POST", at+"/versions/{version}/again", "book-again", tag, "Make an older version the newest one again", 404, 412), s.bookAgain)
	s.registerShopFiles()
}

// newestBook is a shop's newest book, or the demo book.
func (s *Server) newestBook(ctx context.Context, shop string) (store.BookVersion, error) {
	n, err := s.store.NewestBook(ctx, shop)
	if err != nil || n == 0 {
		return store.BookVersion{Document: steel.DemoBook}, err
	}
	return s.store.Book(ctx, shop, n)
}

// books opens the versions of a shop's own book, and nothing else.
func (s *Server) books(ctx context.Context, shop string) job.Open {
	return func(name string) ([]byte, error) {
		n, ok := job.BookVersion(name)
		if !ok {
			return nil, &document.FileError{Name: name, What: "files cannot be opened here",
				Mend: `write "use": "` + job.BookName(1) + `" for a version of the shop's book, "use": "demo", or the book itself in place`, Cause: document.ErrFile}
		}
		b, err := s.store.Book(ctx, shop, n)
		if errors.Is(err, store.ErrNotFound) {
			return nil, &document.FileError{Name: name, What: fmt.Sprintf("the shop has saved no version %d of its book", n), Mend: "choose one that it has", Cause: document.ErrFile}
		}
		return b.Document, err
	}
}

// workOf works a job of a shop out, by its shop's book.
func (s *Server) workOf(ctx context.Context, shop string, j store.Job) (*worked, error) {
	return s.desk.at(ctx, shop, j, s.books(context.WithoutCancel(ctx), shop))
}

// newestView is what the page draws a new job with.
func (s *Server) newestView(ctx context.Context, shop string) (*BookView, error) {
	b, err := s.newestBook(ctx, shop)
	if err != nil {
		return nil, err
	}
	j, found := job.ParseBook("book", b.Document)
	return bookView(&j), found.Err()
}

// onNewestBook has a new job use the shop's own book, where it has one.
func (s *Server) onNewestBook(ctx context.Context, shop string, text []byte) ([]byte, error) {
	n, err := s.store.NewestBook(ctx, shop)
	if err != nil || n == 0 {
		return text, err
	}
	name, err := json.Marshal(job.BookName(n))
	if err != nil {
		return nil, err
	}
	done, err := change.Apply(text, change.Patch{{Op: change.Replace, Path: "/shop/use", Value: name}})
	return done.Document, err
}

// versionsOf is the version of the shop's book that a job uses, and the newest.
func (s *Server) versionsOf(ctx context.Context, id string) (uses, newest int64, err error) {
	w, err := who(ctx)
	if err != nil {
		return 0, 0, err
	}
	j, err := s.store.Job(ctx, w.Shop, id)
	if err != nil {
		return 0, 0, err
	}
	newest, err = s.store.NewestBook(ctx, w.Shop)
	return usedVersion(j.Document), newest, err
}

// usedVersion is the version that a job's document names; 0 where it names none.
func usedVersion(text []byte) int64 {
	var d struct{ Shop struct{ Use any } }
	if json.Unmarshal(text, &d) != nil {
		return 0
	}
	use, _ := d.Shop.Use.(string)
	n, _ := job.BookVersion(use)
	return n
}

func (s *Server) getShopBook(ctx context.Context, in *struct {
	Version int64 `query:"version" minimum:"0" doc:"Left out: the newest"`
},
) (*shopBookOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	b, err := s.newestBook(ctx, w.Shop)
	if err == nil && in.Version > 0 && in.Version != b.Version {
		newest := b.Version
		if b, err = s.store.Book(ctx, w.Shop, in.Version); err != nil {
			return nil, err
		}
		return shopBook(b, newest)
	}
	if err != nil {
		return nil, err
	}
	return shopBook(b, b.Version)
}

func shopBook(b store.BookVersion, newest int64) (*shopBookOut, error) {
	j, found := job.ParseBook("book", b.Document)
	if err := found.Err(); err != nil {
		return nil, err
	}
	f := FiguresView{Figures: []FigureView{}}
	f.add("price", price.PriceKeys, j.Prices.Prices, nil)
	f.add("rate", price.RateKeys, j.Prices.Rates, nil)
	out := &shopBookOut{ShopBook{
		BookLine: BookLine{b.Version, b.At, b.By, b.What}, Newest: newest, Title: j.Book.Title, Currency: j.Prices.Currency,
		Document: b.Document, Figures: f.Figures, Lacks: []Lack{},
	}}
	for _, l := range j.Offer.Lacks() {
		out.Body.Lacks = append(out.Body.Lacks, Lack(l))
	}
	return out, nil
}

// saveShopBook saves a changed book as the next version. A book that has errors is
// refused, each named with its place: every version can be worked with.
func (s *Server) saveShopBook(ctx context.Context, in *saveBookIn) (*shopBookOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	b, err := s.newestBook(ctx, w.Shop)
	if err != nil {
		return nil, err
	}
	if b.Version != in.Body.Base {
		return nil, refuse(http.StatusPreconditionFailed, fmt.Sprintf("%s saved version %d of the book meanwhile. Look at it, then save yours again.", b.By, b.Version))
	}
	var p change.Patch
	for _, op := range in.Body.Patch {
		p = append(p, change.Op{Op: op.Op, Path: op.Path, From: op.From, Value: op.Value})
	}
	done, err := change.Apply(b.Document, p)
	if err != nil {
		return nil, err
	}
	return s.keepBook(ctx, w, in.Body.Base, done.Document, in.Body.What)
}

func (s *Server) keepBook(ctx context.Context, w store.Who, base int64, text []byte, what string) (*shopBookOut, error) {
	if _, found := job.ParseBook("book", text); found.Err() != nil {
		p := refuse(http.StatusUnprocessableEntity, bookFault(found))
		p.Problems = found
		s.log.Warn("book refused", "by", w.Name, "why", found.Err())
		return nil, p
	}
	b, err := s.store.SaveBook(ctx, w, base, text, what)
	if err != nil {
		return nil, err
	}
	s.news.look()
	return shopBook(b, b.Version)
}

func (s *Server) listBooks(ctx context.Context, _ *struct{}) (*bookLinesOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	all, err := s.store.Books(ctx, w.Shop)
	out := &bookLinesOut{}
	out.Body.Versions = []BookLine{}
	for _, b := range all {
		out.Body.Versions = append(out.Body.Versions, BookLine{b.Version, b.At, b.By, b.What})
	}
	return out, err
}

func (s *Server) bookAgain(ctx context.Context, in *bookVersionIn) (*shopBookOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	old, err := s.store.Book(ctx, w.Shop, in.Version)
	if err != nil {
		return nil, err
	}
	return s.keepBook(ctx, w, in.Body.Base, old.Document, fmt.Sprintf("Version %d again: %s", old.Version, old.What))
}
