package server

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"coilwright/site"
	"coilwright/store"
	"coilwright/tally"
)

// Bounds of one call about marks.
const (
	mostSent  = 500  // marks that a phone sends at once
	mostGiven = 1000 // marks that it is given at once
)

// MarksOut is what became of a phone's marks, and what it has not seen.
type MarksOut struct {
	Accepted     []string      `json:"accepted" doc:"Ids now on the disk, whether new or there before"`
	Refused      []MarkRefused `json:"refused" doc:"Never taken as they are; the phone keeps and shows them"`
	Told         []MarkTold    `json:"told" doc:"Accepted, but a person should know"`
	Cursor       string        `json:"cursor" doc:"Give it as after the next time"`
	Marks        []SeenMark    `json:"marks"`
	More         bool          `json:"more" doc:"There are more: call again at once"`
	Restart      bool          `json:"restart" doc:"This server has other marks than the phone remembers: marks begins anew, and the phone sends all of its own again"`
	Clock        ClockView     `json:"clock"`
	PhotosWanted []string      `json:"photos_wanted" doc:"Photos named in marks sent, which are not here yet"`
}

// MarkRefused is a mark that cannot be kept, by its place among those sent.
type MarkRefused struct {
	ID    string `json:"id"`
	Index int    `json:"index"`
	Why   string `json:"why"`
	Mend  string `json:"mend"`
}

// MarkTold is what a person should know of a mark that was kept.
type MarkTold struct {
	ID   string `json:"id"`
	What string `json:"what" enum:"homeless,twin,clock"`
	Text string `json:"text"`
}

// SeenMark is a mark with its place in the order in which they came here.
type SeenMark struct {
	tally.Mark
	Seq      int64     `json:"seq"`
	Received time.Time `json:"received"`
}

// ClockView compares a phone's clock with this one.
type ClockView struct {
	Now   time.Time `json:"now"`
	SkewS float64   `json:"skew_s" doc:"The phone's less this one's; 0 where it did not say"`
	Text  string    `json:"text" doc:"For a person; empty while both agree"`
}

type marksIn struct {
	JobPath
	Body struct {
		After  string            `json:"after,omitempty" maxLength:"80" doc:"The cursor of the last answer; empty at first"`
		Now    string            `json:"now,omitempty" maxLength:"64" doc:"The phone's clock, RFC 3339"`
		Device string            `json:"device,omitempty" maxLength:"200"`
		Scheme string            `json:"scheme,omitempty" maxLength:"200" doc:"The scheme that is hung: pieces that it has not are told"`
		Marks  []json.RawMessage `json:"marks,omitempty" maxItems:"500" doc:"Marks as in the answer, without seq and received"`
	}
}

type marksOut struct{ Body MarksOut }

func (s *Server) registerMarks() {
	const tag, at = "site", "/api/jobs/{job}/marks"
	post := operation("POST", at, "send-marks", tag, "Send a crew's marks and fetch others': any order, any number of times", 404, 413)
	post.DefaultStatus = http.StatusOK
	handle(s, post, s.sendMarks)
	handle(s, operation("GET", at, "get-marks", tag, "Marks that came after a cursor", 404), s.getMarks)
	s.registerMarkPhotos()
}

func (s *Server) sendMarks(ctx context.Context, in *marksIn) (*marksOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	got := s.readMarks(in.Body.Marks)
	out := MarksOut{Accepted: []string{}, Refused: got.refused, Told: []MarkTold{}, PhotosWanted: []string{}, Clock: s.clock(in.Body.Now)}
	if len(got.marks) > 0 {
		fates, _, err := s.store.AddMarks(ctx, w, in.Job, got.kept)
		if err != nil {
			return nil, err
		}
		s.news.look()
		out.tell(got, fates, s.now())
		s.tellHomeless(ctx, in, got, &out)
		if out.PhotosWanted, err = s.photosWanted(ctx, w.Shop, in.Job, got.marks); err != nil {
			return nil, err
		}
	}
	return &marksOut{out}, s.giveMarks(ctx, w.Shop, in.Job, in.Body.After, got.own(), &out)
}

func (s *Server) getMarks(ctx context.Context, in *struct {
	JobPath
	After string `query:"after" maxLength:"80" doc:"The cursor of the last answer"`
},
) (*marksOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	out := &marksOut{MarksOut{Accepted: []string{}, Refused: []MarkRefused{}, Told: []MarkTold{}, PhotosWanted: []string{}, Clock: s.clock("")}}
	return out, s.giveMarks(ctx, w.Shop, in.Job, in.After, nil, &out.Body)
}

// received is the marks of one call that can be kept.
type received struct {
	marks   []tally.Mark
	index   []int // among those sent
	kept    []store.Mark
	refused []MarkRefused
}

func (s *Server) readMarks(sent []json.RawMessage) received {
	r := received{refused: []MarkRefused{}}
	for i, text := range sent {
		m, err := readMark(text)
		if err != nil {
			r.refused = append(r.refused, MarkRefused{m.ID, i, capital(err.Error()) + ".", "Make the mark again; the phone keeps this one so that a person can read it."})
			continue
		}
		body, _ := json.Marshal(m) // texts and a number
		r.marks, r.index, r.kept = append(r.marks, m), append(r.index, i), append(r.kept, store.Mark{ID: m.ID, Body: string(body)})
	}
	return r
}

// readMark reads one mark whole: a field that is not known would be lost, so it is
// refused.
func readMark(text json.RawMessage) (m tally.Mark, err error) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&m); err != nil {
		json.Unmarshal(text, &struct{ ID *string }{&m.ID}) //nolint:errcheck // only to name it
		return m, fmt.Errorf("%w: it is not written as a mark (%w)", tally.ErrMark, err)
	}
	if m.Photo != "" && !photoName.MatchString(m.Photo) {
		return m, fmt.Errorf("%w: %.40q is no name of a photo", tally.ErrMark, m.Photo)
	}
	return m, m.Check()
}

// own are the bodies just sent, which the phone need not be given.
func (r received) own() map[string]bool {
	out := map[string]bool{}
	for _, m := range r.kept {
		out[m.Body] = true
	}
	return out
}

// tell sorts what became of each mark. A clock that is wrong changes nothing but hours
// and days, which a person should know.
func (o *MarksOut) tell(r received, fates []store.MarkFate, now time.Time) {
	for i, m := range r.marks {
		switch fates[i] {
		case store.MarkOver:
			o.Refused = append(o.Refused, MarkRefused{m.ID, r.index[i], "The job has too many marks, or this id has been used for too many different ones.", "Tell the office: a phone repeats itself."})
			continue
		case store.MarkTwin:
			o.Told = append(o.Told, MarkTold{m.ID, "twin", "Another mark has this id with other contents: this phone was put back to an older copy. Both are kept; everywhere the same one counts."})
		}
		o.Accepted = append(o.Accepted, m.ID)
		at, err := time.Parse(time.RFC3339, m.At)
		if err != nil {
			o.Told = append(o.Told, MarkTold{m.ID, "clock", "It does not say when it was made: the time at which it came counts."})
		} else if text := site.ClockText(max(0, at.Sub(now))); text != "" {
			o.Told = append(o.Told, MarkTold{m.ID, "clock", text})
		}
	}
}

// tellHomeless names pieces that the scheme has not, or no more. Where the job cannot
// be laid out just now nothing is said.
func (s *Server) tellHomeless(ctx context.Context, in *marksIn, r received, out *MarksOut) {
	if in.Body.Scheme == "" {
		return
	}
	_, pack, err := s.pack(ctx, in.Job, in.Body.Scheme)
	if err != nil {
		return
	}
	known := pack.Keys()
	for _, m := range r.marks {
		if aboutPiece(m.Kind) && !known[m.Piece] {
			out.Told = append(out.Told, MarkTold{m.ID, "homeless", fmt.Sprintf("The layout has no such piece any more (%.120s). The mark is kept, and the office sees the piece.", m.Note)})
		}
	}
}

func aboutPiece(k tally.Kind) bool {
	return k == tally.Formed || k == tally.Spoiled || k == tally.Hung || k == tally.TakenOff || k == tally.Moved
}

// clock compares a phone's clock with this one.
func (s *Server) clock(said string) ClockView {
	v := ClockView{Now: s.now().UTC()}
	if at, err := time.Parse(time.RFC3339, said); err == nil {
		skew := at.Sub(v.Now)
		v.SkewS, v.Text = skew.Round(time.Millisecond).Seconds(), site.ClockText(skew)
	}
	return v
}

// cursorOf writes where marks stand: how many there are, and what they are.
func cursorOf(h store.MarkHead) string {
	if h.Seq == 0 {
		return ""
	}
	return fmt.Sprintf("%d-%.16s", h.Seq, h.Chain)
}

// giveMarks fills in what came after a cursor. One that this database never gave, as
// after it was put back to an older copy, begins anew.
func (s *Server) giveMarks(ctx context.Context, shop, job, after string, own map[string]bool, out *MarksOut) error {
	seq, restart, err := s.placeOf(ctx, shop, job, after)
	if err != nil {
		return err
	}
	out.Restart, out.Marks, out.Cursor = restart, []SeenMark{}, after
	if restart {
		out.Cursor = ""
	}
	rows, err := s.store.Marks(ctx, shop, job, seq, mostGiven)
	if err != nil {
		return err
	}
	for _, r := range rows {
		out.Cursor = cursorOf(store.MarkHead{Seq: r.Seq, Chain: r.Chain})
		if own[r.Body] {
			continue
		}
		m := SeenMark{Seq: r.Seq, Received: r.Received}
		if err := json.Unmarshal([]byte(r.Body), &m.Mark); err != nil {
			return fmt.Errorf("mark %d of job %s cannot be read: %w", r.Seq, job, err)
		}
		out.Marks = append(out.Marks, m)
	}
	out.More = len(rows) == mostGiven
	return nil
}

// placeOf reads a cursor.
func (s *Server) placeOf(ctx context.Context, shop, job, after string) (seq int64, restart bool, err error) {
	if after == "" {
		return 0, false, nil
	}
	text, _, _ := strings.Cut(after, "-")
	seq, err = strconv.ParseInt(text, 10, 64)
	if err != nil || seq < 1 {
		return 0, true, nil
	}
	at, err := s.store.MarkAt(ctx, shop, job, seq)
	if isNotFound(err) {
		if _, err := s.store.Head(ctx, shop, job); err != nil {
			return 0, false, err
		}
		return 0, true, nil
	}
	if err != nil || cursorOf(at) != after {
		return 0, err == nil, err
	}
	return seq, false, nil
}
