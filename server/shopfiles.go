package server

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"

	"coilwright/change"
	"coilwright/job"
	"coilwright/proposal"
	"coilwright/sheet"
	"coilwright/steel"
	"coilwright/store"
)

// mostLogo bounds the picture of a letterhead.
const mostLogo = 2 << 20

type logoOut struct {
	Body struct {
		Hash string `json:"hash" doc:"To be written under offer.letterhead.logo of the book"`
	}
}

func (s *Server) registerShopFiles() {
	const tag, at = "book", "/api/shop-book"
	file := operation("GET", at+"/file", "get-book-file", tag, "Prices, rates and coils of the shop's book as CSV or XLSX")
	file.Responses = binary("CSV or XLSX")
	handle(s, file, s.shopBookFile)
	handle(s, operation("POST", at+"/file", "read-book-file", tag, "Read prices, rates and coils from CSV or XLSX, as a change to be saved", 413), s.readShopFile)
	logo := operation("POST", at+"/logo", "put-logo", tag, "Keep a picture, JPEG or PNG, for the letterhead", 413)
	logo.MaxBodyBytes = mostLogo
	handle(s, logo, s.putLogo)
	picture := operation("GET", at+"/logo/{hash}", "get-logo", tag, "The letterhead's picture", 404)
	picture.Responses = binary("JPEG or PNG")
	handle(s, picture, s.getLogo)
}

func (s *Server) shopBookFile(ctx context.Context, in *struct {
	Kind string `query:"kind" enum:"csv,xlsx" default:"csv"`
},
) (*fileOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	b, err := s.newestBook(ctx, w.Shop)
	if err != nil {
		return nil, err
	}
	j, found := job.ParseBook("book", b.Document)
	if err := found.Err(); err != nil {
		return nil, err
	}
	return pricesFile(&j, in.Kind)
}

// readShopFile turns a file of figures into a change of the book, to be looked at
// before it is saved.
func (s *Server) readShopFile(ctx context.Context, in *struct {
	RawBody []byte `contentType:"application/octet-stream" required:"true"`
},
) (*figuresPatch, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	b, err := s.newestBook(ctx, w.Shop)
	if err != nil {
		return nil, err
	}
	var whole struct {
		Prices, Rates map[string]json.RawMessage
	}
	if err := json.Unmarshal(b.Document, &whole); err != nil {
		return nil, err
	}
	j, found := job.ParseBook("book", b.Document)
	if err := found.Err(); err != nil {
		return nil, err
	}
	return figuresOver(map[string]map[string]json.RawMessage{"prices": whole.Prices, "rates": whole.Rates}, &j.Book, in.RawBody, "")
}

// figuresOver reads a file of figures and lays them over those that stand below at;
// the file's coils take the place of all that the mill sold by book.
func figuresOver(own map[string]map[string]json.RawMessage, book *steel.Book, file []byte, at string) (*figuresPatch, error) {
	over, err := sheet.ReadBook(file, book.ColourIDs())
	if err != nil {
		return nil, refuse(http.StatusUnprocessableEntity, capital(err.Error())+".")
	}
	var read struct {
		Prices, Rates map[string]json.RawMessage
		Mill          []json.RawMessage
	}
	if err := json.Unmarshal(over, &read); err != nil {
		return nil, err
	}
	out := &figuresPatch{}
	out.Body.Patch = change.Patch{}
	if err := out.lay(own["prices"], read.Prices, at+"/prices"); err != nil {
		return nil, err
	}
	if err := out.lay(own["rates"], read.Rates, at+"/rates"); err != nil {
		return nil, err
	}
	out.Body.What = fmt.Sprintf("%d prices and rates read from a file", out.Body.Count)
	if n := len(read.Mill); n > 0 {
		out.Body.Count += n
		out.Body.What = fmt.Sprintf("%s, and %d coils in place of %d", out.Body.What, n, len(book.Mill))
		return out, out.put(at+"/mill", read.Mill)
	}
	return out, nil
}

// lay puts the figures read over a book's own.
func (p *figuresPatch) lay(own, read map[string]json.RawMessage, path string) error {
	if len(read) == 0 {
		return nil
	}
	all := maps.Clone(own)
	if all == nil {
		all = map[string]json.RawMessage{}
	}
	maps.Copy(all, read)
	p.Body.Count += len(read)
	return p.put(path, all)
}

func (p *figuresPatch) put(path string, value any) error {
	text, err := json.Marshal(value)
	p.Body.Patch = append(p.Body.Patch, change.Op{Op: "add", Path: path, Value: text})
	return err
}

// putLogo keeps a picture that papers can carry; what is none is refused.
func (s *Server) putLogo(ctx context.Context, in *struct {
	RawBody []byte `contentType:"application/octet-stream" required:"true"`
},
) (*logoOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	if _, err := proposal.PictureOf(in.RawBody, "the letterhead's picture"); err != nil {
		return nil, refuse(http.StatusUnprocessableEntity, capital(err.Error())+".")
	}
	out := &logoOut{}
	out.Body.Hash, err = s.store.PutShopFile(ctx, w.Shop, store.Content{Media: http.DetectContentType(in.RawBody), Bytes: in.RawBody})
	return out, err
}

func (s *Server) getLogo(ctx context.Context, in *struct {
	Hash string `path:"hash" maxLength:"64"`
},
) (*fileOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	return s.logo(ctx, w.Shop, in.Hash)
}

func (s *Server) logo(ctx context.Context, shop, hash string) (*fileOut, error) {
	c, err := s.store.ShopFile(ctx, shop, hash)
	return &fileOut{Type: c.Media, Policy: drawingPolicy, ETag: `"` + hash + `"`, Body: c.Bytes, Disposition: "inline"}, err
}
