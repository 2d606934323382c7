package site

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"coilwright/job"
	"coilwright/measure"
	"coilwright/tally"
)

// watch is a job's marks on the way to its progress.
type watch struct {
	pack     *Pack
	job      *job.Job
	now      time.Time
	state    tally.State
	standing []tally.Mark
	received map[string]time.Time
	piece    map[string]*PackPiece // that are to be cut
	lengths  map[string]float64
}

func newWatch(p *Pack, j *job.Job, seen []Seen, now time.Time) *watch {
	w := &watch{pack: p, job: j, now: now, received: map[string]time.Time{}, piece: map[string]*PackPiece{}, lengths: lengthsOf(p)}
	var keys []string
	for i := range p.Pieces {
		if q := &p.Pieces[i]; q.Setup != "" {
			w.piece[q.Key] = q
		}
		keys = append(keys, p.Pieces[i].Key)
	}
	for _, b := range p.Blanks {
		keys = append(keys, b.Key)
	}
	marks := make([]tally.Mark, len(seen))
	for i, s := range seen {
		marks[i] = s.Mark
		w.received[s.ID] = s.Received
	}
	w.state, w.standing = tally.Of(keys, marks), tally.Standing(marks)
	return w
}

func (w *watch) counts() ProgressCounts {
	c := ProgressCounts{Pieces: len(w.piece), LeftOut: len(w.pack.Pieces) - len(w.piece)}
	for key := range w.piece {
		switch w.state.Pieces[key].Place {
		case tally.OnWall:
			c.Hung++
			c.Formed++
		case tally.Ready:
			c.Formed++
		}
	}
	for _, s := range w.state.Pieces {
		c.Spoiled += s.Spoiled
	}
	for _, s := range w.state.Homeless {
		c.Spoiled += s.Spoiled
	}
	return c
}

func (w *watch) feet() ProgressFeet {
	var f ProgressFeet
	for _, c := range w.pack.Coils {
		f.Planned += c.UsedFt
	}
	for key, s := range w.state.Pieces {
		length := w.lengths[key] / 12
		f.Spoiled += float64(s.Spoiled) * length
		if s.Place != tally.Waiting {
			f.Formed += length
		}
		if s.Place == tally.OnWall {
			f.Hung += length
		}
	}
	for _, m := range w.standing {
		if m.Kind == tally.Loaded {
			f.Scrap += w.pack.Machine.ThreadingScrapFt
		}
	}
	return ProgressFeet{tenth(f.Planned), tenth(f.Formed), tenth(f.Hung), tenth(f.Spoiled), tenth(f.Scrap)}
}

func (w *watch) coils() []ProgressCoil {
	reels, loaded := Reels(w.pack, w.standing)
	toGive := map[string]float64{}
	give := func(key, coil string) {
		if w.state.Pieces[key].Place == tally.Waiting {
			toGive[coil] += (w.lengths[key] + w.pack.Machine.CutLossIn) / 12
		}
	}
	for key, p := range w.piece {
		give(key, p.Coil)
	}
	for _, b := range w.pack.Blanks {
		give(b.Key, b.Coil)
	}
	out := []ProgressCoil{}
	for i, c := range w.pack.Coils {
		r := reels[i]
		out = append(out, ProgressCoil{
			ID: c.ID, Name: c.Name, Lot: c.Lot, Colour: c.Colour, PlannedFt: tenth(c.UsedFt), UsedFt: tenth(r.UsedFt), LeftFt: tenth(r.LeftFt), From: r.From, OffFt: tenth(r.OffFt),
			Loaded: c.ID == loaded, Short: toGive[c.ID] > r.LeftFt+1e-6, // sums of decimals
		})
	}
	return out
}

func (w *watch) walls() []ProgressWall {
	out := []ProgressWall{}
	for _, wall := range w.pack.Walls {
		v := ProgressWall{Wall: wall.ID, Quality: len(wall.Quality)}
		for _, p := range w.piece {
			if p.Wall != wall.ID {
				continue
			}
			v.Pieces++
			if place := w.state.Pieces[p.Key].Place; place == tally.OnWall {
				v.Hung, v.Formed = v.Hung+1, v.Formed+1
			} else if place == tally.Ready {
				v.Formed++
			}
		}
		for _, q := range wall.Quality {
			if _, done := w.state.Covered[wall.ID+":"+q.ID]; done {
				v.QualityDone++
			} else if q.Gate && v.Hung > 0 {
				v.Ungated = true
			}
		}
		out = append(out, v)
	}
	return out
}

// homeless lists what was formed for places that are gone, each beside a piece that
// waits and is cut the same, while there are any.
func (w *watch) homeless() []ProgressHomeless {
	out := []ProgressHomeless{}
	cut, label := map[string]string{}, map[string]string{}
	for _, m := range w.standing {
		if m.Kind == tally.Formed {
			cut[m.Piece], label[m.Piece] = cmp.Or(m.Cut, cut[m.Piece]), cmp.Or(m.Note, label[m.Piece])
		}
	}
	taken := map[string]bool{}
	for _, key := range slices.Sorted(maps.Keys(w.state.Homeless)) {
		s := w.state.Homeless[key]
		if s.Lies == 0 {
			continue // spoiled, or it serves elsewhere
		}
		h := ProgressHomeless{Key: key, Label: cmp.Or(label[key], s.Last.Note), State: string(s.Place), Formed: s.Formed, Spoiled: s.Spoiled}
		if s.Place == tally.Ready && cut[key] != "" {
			h.Fits = w.fits(cut[key], taken)
		}
		out = append(out, h)
	}
	return out
}

// fits finds the first piece that waits and is cut so, each once.
func (w *watch) fits(cut string, taken map[string]bool) *ProgressFits {
	for i := range w.pack.Pieces {
		p := &w.pack.Pieces[i]
		if p.Cut == cut && !taken[p.Key] && w.state.Pieces[p.Key].Place == tally.Waiting {
			taken[p.Key] = true
			return &ProgressFits{p.Key, p.Number, p.Wall}
		}
	}
	return nil
}

func (w *watch) twice() []ProgressTwice {
	out := []ProgressTwice{}
	for i := range w.pack.Pieces {
		p := &w.pack.Pieces[i]
		if s := w.state.Pieces[p.Key]; s.Lies > 1 {
			out = append(out, ProgressTwice{p.Key, p.Number, s.Formed, s.Spoiled})
		}
	}
	return out
}

func (w *watch) checks() []ProgressCheck {
	out := []ProgressCheck{}
	for _, m := range w.state.Checks {
		c := ProgressCheck{Setup: m.Piece, Piece: m.Note, Found: m.Text, By: m.By, At: m.At}
		found, err := measure.ParseLength(m.Text)
		if wanted, ok := w.lengths[m.Note]; ok && err == nil {
			want := measure.FromInches(wanted)
			c.Wanted, c.Off, c.OK = want.Text(w.job.Units), (found - want).Text(w.job.Units), (found-want).Abs() <= w.job.Book.StepIn(w.job.Units)
		}
		out = append(out, c)
	}
	return out
}

func (w *watch) quality() []ProgressQuality {
	out := []ProgressQuality{}
	for _, about := range slices.Sorted(maps.Keys(w.state.Covered)) {
		i := strings.LastIndex(about, ":")
		if i < 0 || about[i+1:] == "photo" {
			continue
		}
		m := w.state.Covered[about]
		out = append(out, ProgressQuality{about[:i], about[i+1:], w.item(about[:i], about[i+1:]), m.By, m.At, m.Photo, m.Note})
	}
	return out
}

// item is what is looked at on a wall, in words.
func (w *watch) item(wall, id string) string {
	for _, at := range w.pack.Walls {
		for _, q := range at.Quality {
			if at.ID == wall && q.ID == id {
				return q.What
			}
		}
	}
	return id
}

// photos lists each photo once: a later mark that names it again says what it shows.
func (w *watch) photos(here map[string]bool) []ProgressPhoto {
	out, at := []ProgressPhoto{}, map[string]int{}
	for _, m := range w.standing {
		if m.Photo == "" {
			continue
		}
		i, known := at[m.Photo]
		if !known {
			i = len(out)
			at[m.Photo] = i
			out = append(out, ProgressPhoto{Mark: m.ID, Photo: m.Photo, About: w.about(m), By: m.By, At: m.At, Here: here[m.Photo]})
		}
		if m.Text != "" {
			out[i].Words = m.Text
		}
	}
	return out
}

// about says what a photo was taken of: a piece as it is called now, or a wall's item.
func (w *watch) about(m tally.Mark) string {
	i := strings.LastIndex(m.Piece, ":")
	if i < 0 {
		return m.Piece
	}
	of, what := m.Piece[:i], m.Piece[i+1:]
	switch {
	case what != "photo":
		return of + ": " + w.item(of, what)
	case w.piece[of] != nil:
		return w.piece[of].Label
	}
	return cmp.Or(m.Note, of)
}

// patience is how far a phone's clock may be off before somebody is told.
const patience = 10 * time.Minute

// clocks finds phones whose marks came before they were made, by their own clock.
func clocks(seen []Seen) []ProgressClock {
	ahead := map[string]time.Duration{}
	for _, s := range seen {
		if at, err := time.Parse(time.RFC3339, s.At); err == nil {
			ahead[s.Device] = max(ahead[s.Device], at.Sub(s.Received))
		}
	}
	out := []ProgressClock{}
	for device, d := range ahead {
		if d > patience {
			out = append(out, ProgressClock{device, math.Round(d.Seconds()), ClockText(d)})
		}
	}
	slices.SortFunc(out, func(a, b ProgressClock) int { return cmp.Compare(a.Device, b.Device) })
	return out
}

// ClockText tells a person that a phone's clock is off; empty where it is near enough.
func ClockText(skew time.Duration) string {
	how, off := "ahead of", skew
	if skew < 0 {
		how, off = "behind", -skew
	}
	if off < patience {
		return ""
	}
	much := fmt.Sprintf("%.0f minutes", off.Minutes())
	if off >= 2*time.Hour {
		much = fmt.Sprintf("%.0f hours", off.Hours())
	}
	return fmt.Sprintf("This phone's clock is %s %s the office's. Nothing is lost and the order of marks is right; set the clock so that days and hours are.", much, how)
}
