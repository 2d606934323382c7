package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"time"

	"coilwright/course"
	"coilwright/job"
	"coilwright/site"
	"coilwright/store"
)

// WordsView is what of a scheme is not fit to cut by the shop's rule, and what is cut
// all the same, on whose word.
type WordsView struct {
	Unfit []UnfitView `json:"unfit" doc:"Left out of the run"`
	Words []WordView  `json:"words" doc:"All that were ever given, the latest first"`
}

// UnfitView is a piece that is not fit to cut.
type UnfitView struct {
	Key    string `json:"key"`
	Number string `json:"number"`
	Wall   string `json:"wall"`
	Label  string `json:"label"`
	Why    string `json:"why"`
}

// WordView is one person's word for some pieces. It holds for the very pieces that it
// was given for: one that a re-lay cuts otherwise is not among them any more.
type WordView struct {
	Number    int64       `json:"number"`
	Name      string      `json:"name" doc:"Who answers"`
	Reason    string      `json:"reason"`
	By        string      `json:"by" doc:"Who was signed in"`
	At        time.Time   `json:"at"`
	Pieces    []UnfitView `json:"pieces" doc:"As they were when it was given"`
	Holds     int         `json:"holds" doc:"How many of them the layout still has"`
	TakenBack *time.Time  `json:"taken_back,omitempty"`
	TakenBy   string      `json:"taken_by,omitempty"`
}

type wordsOut struct{ Body WordsView }

type wordIn struct {
	SchemePath
	Body struct {
		Revision int64    `json:"revision" minimum:"1" doc:"The revision that was looked at; another is refused"`
		Pieces   []string `json:"pieces" minItems:"1" maxItems:"10000" doc:"Keys of pieces that are not fit to cut"`
		Name     string   `json:"name" minLength:"1" maxLength:"200" doc:"Who answers for it"`
		Reason   string   `json:"reason" minLength:"1" maxLength:"400" doc:"Why it may be cut all the same"`
	}
}

func (s *Server) registerWords() {
	const tag, at = "releases", "/api/jobs/{job}/schemes/{scheme}/words"
	handle(s, operation("GET", at, "list-words", tag, "Pieces that are not fit to cut, and those that are cut on somebody's word", 404), s.getWords)
	handle(s, operation("POST", at, "give-word", tag, "Cut pieces that are not fit to cut, on a person's word", 404, 409, 412), s.giveWord)
	handle(s, operation("DELETE", at+"/{number}", "take-word-back", tag, "Take a word back; it stays to be read", 404), s.takeWordBack)
}

// spoken is who answers for which pieces of a scheme, by their keys; all is one
// person's word for the rest. Digest tells it from others; empty: nobody does.
type spoken struct {
	of     map[string]job.Word
	all    string
	digest string
}

func (by spoken) words(wall string, p *course.Piece) (job.Word, bool) {
	if len(by.of) > 0 {
		if w, ok := by.of[site.PieceKey(wall, p)]; ok {
			return w, true
		}
	}
	return job.Word{Name: by.all}, by.all != ""
}

// spoken reads the words that stand for a scheme; all may be empty.
func (s *Server) spoken(ctx context.Context, shop, id, scheme, all string) (spoken, error) {
	by := spoken{of: map[string]job.Word{}}
	if all != "" {
		clean, err := job.Answerer(all)
		if err != nil {
			return by, refuse(http.StatusUnprocessableEntity, capital(err.Error())+".")
		}
		by.all = clean
	}
	given, err := s.store.Words(ctx, shop, id)
	if err != nil {
		return by, err
	}
	for _, w := range given {
		if w.Scheme != scheme || !w.TakenBack.IsZero() {
			continue
		}
		pieces, err := unfitOf(w)
		if err != nil {
			return by, err
		}
		for _, p := range pieces {
			by.of[p.Key] = job.Word{Name: w.Name, Reason: w.Reason}
		}
	}
	if len(by.of) > 0 || by.all != "" {
		text, err := json.Marshal([]any{by.of, by.all})
		if err != nil {
			return by, err
		}
		by.digest = store.Hash(text)[:12]
	}
	return by, nil
}

func unfitOf(w store.Word) (out []UnfitView, err error) {
	if err := json.Unmarshal([]byte(w.Pieces), &out); err != nil {
		return nil, fmt.Errorf("word %d cannot be read: %w", w.Number, err)
	}
	return out, nil
}

func (s *Server) getWords(ctx context.Context, in *SchemePath) (*wordsOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	v, err := s.wordsView(ctx, w.Shop, in)
	return &wordsOut{v}, err
}

func (s *Server) wordsView(ctx context.Context, shop string, in *SchemePath) (WordsView, error) {
	v := WordsView{Unfit: []UnfitView{}, Words: []WordView{}}
	_, p, err := s.pack(ctx, in.Job, in.Scheme)
	if err != nil {
		return v, err
	}
	given, err := s.store.Words(ctx, shop, in.Job)
	if err != nil {
		return v, err
	}
	v.Unfit = unfitNow(p)
	known := p.Keys()
	for _, w := range slices.Backward(given) {
		if w.Scheme != in.Scheme {
			continue
		}
		pieces, err := unfitOf(w)
		if err != nil {
			return v, err
		}
		one := WordView{Number: w.Number, Name: w.Name, Reason: w.Reason, By: w.By, At: w.At, Pieces: pieces, TakenBy: w.TakenBy}
		for _, q := range pieces {
			if known[q.Key] {
				one.Holds++
			}
		}
		if !w.TakenBack.IsZero() {
			one.TakenBack = &w.TakenBack
		}
		v.Words = append(v.Words, one)
	}
	return v, nil
}

// unfitNow are the pieces that a word would release: those that no coil can give, and
// those too short to be cut, are not among them.
func unfitNow(p *site.Pack) []UnfitView {
	unfit := map[string]string{}
	for _, l := range p.LeftOut {
		if l.Unfit {
			unfit[l.Piece] = l.Why
		}
	}
	out := []UnfitView{}
	for i := range p.Pieces {
		q := &p.Pieces[i]
		if why, is := unfit[q.Key]; is {
			out = append(out, UnfitView{q.Key, q.Number, q.Wall, q.Label, why})
		}
	}
	return out
}

func (s *Server) giveWord(ctx context.Context, in *wordIn) (*wordsOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	name, err := job.Answerer(in.Body.Name)
	if err != nil {
		return nil, refuse(http.StatusUnprocessableEntity, capital(err.Error())+".")
	}
	head, err := s.store.Head(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	if head.Revision != in.Body.Revision {
		return nil, movedOn(head.Revision, "release on somebody's word")
	}
	chosen, err := s.chosen(ctx, in)
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(chosen)
	if err != nil {
		return nil, err
	}
	word := store.Word{Scheme: in.Scheme, Pieces: string(text), Name: name, Reason: in.Body.Reason, Revision: head.Revision}
	if err := s.store.AddWord(ctx, w, in.Job, word); err != nil {
		return nil, err
	}
	return s.getWords(ctx, &in.SchemePath)
}

// chosen finds the pieces that a word is given for among those not fit to cut.
func (s *Server) chosen(ctx context.Context, in *wordIn) ([]UnfitView, error) {
	_, p, err := s.pack(ctx, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	var out []UnfitView
	for _, q := range unfitNow(p) {
		if slices.Contains(in.Body.Pieces, q.Key) {
			out = append(out, q)
		}
	}
	if len(out) == 0 {
		return nil, refuse(http.StatusConflict, "None of these pieces is left out as not fit to cut: read the list again.")
	}
	return out, nil
}

func (s *Server) takeWordBack(ctx context.Context, in *struct {
	SchemePath
	Number int64 `path:"number" minimum:"1"`
},
) (*wordsOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	if err := s.store.TakeBackWord(ctx, w, in.Job, in.Scheme, in.Number); errors.Is(err, store.ErrNotFound) {
		return nil, refuse(http.StatusNotFound, "No word of that number was given for this scheme.")
	} else if err != nil {
		return nil, err
	}
	return s.getWords(ctx, &in.SchemePath)
}
