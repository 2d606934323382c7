package site

import (
	"strconv"
	"strings"

	"coilwright/tally"
)

// Reel is one coil as the marks leave it. Feet only: nothing is cut from these figures.
type Reel struct {
	ID     string  `json:"id"`
	UsedFt float64 `json:"used_ft"`
	LeftFt float64 `json:"left_ft"`
	From   string  `json:"from" enum:"marks,reel" doc:"Counted from marks, or since a reading of the reel"`
	OffFt  float64 `json:"off_ft" doc:"Last reading of the reel less what marks had counted"`
}

// Reels counts the feet on every coil of a pack. Marks are gone through in order:
// threading costs its scrap, a piece formed its length and the cut, whether it was
// spoiled then or later; a reading of the reel puts things right. A piece comes off the
// coil that its mark names, else off the coil loaded last. The second answer is the coil
// on the machine.
func Reels(p *Pack, marks []tally.Mark) (reels []Reel, loaded string) {
	c := &counting{pack: p, at: map[string]int{}, lengths: lengthsOf(p), ready: map[string]int{}}
	for i, coil := range p.Coils {
		c.at[coil.ID] = i
		c.reels = append(c.reels, Reel{ID: coil.ID, LeftFt: coil.LengthFt, From: "marks"})
	}
	for _, m := range tally.Standing(marks) {
		c.take(m)
	}
	return c.reels, c.loaded
}

// lengthsOf gives the length in inches of every piece and blank by its key.
func lengthsOf(p *Pack) map[string]float64 {
	out := map[string]float64{}
	for i := range p.Pieces {
		out[p.Pieces[i].Key] = p.Pieces[i].LengthIn
	}
	for _, b := range p.Blanks {
		out[b.Key] = b.LengthIn
	}
	return out
}

type counting struct {
	pack    *Pack
	at      map[string]int // index of a coil
	reels   []Reel
	lengths map[string]float64
	loaded  string
	ready   map[string]int // formed and not spoiled, by piece
}

func (c *counting) take(m tally.Mark) {
	switch m.Kind {
	case tally.Loaded:
		c.loaded = m.Piece
		c.draw(m.Piece, c.pack.Machine.ThreadingScrapFt)
	case tally.Reel:
		c.read(m)
	case tally.Formed:
		c.ready[m.Piece]++
		c.cut(m)
	case tally.Moved:
		if c.ready[m.Text] > 0 {
			c.ready[m.Text]--
			c.ready[m.Piece]++
		}
	case tally.Spoiled:
		if c.ready[m.Piece] > 0 {
			c.ready[m.Piece]--
			return
		}
		c.cut(m)
	}
}

// cut draws a piece off its coil.
func (c *counting) cut(m tally.Mark) {
	length, known := c.lengths[m.Piece]
	if !known {
		return
	}
	coil := m.Text
	if coil == "" {
		coil = c.loaded
	}
	c.draw(coil, (length+c.pack.Machine.CutLossIn)/12)
}

func (c *counting) draw(coil string, feet float64) {
	if i, ok := c.at[coil]; ok {
		c.reels[i].LeftFt -= feet
		c.reels[i].UsedFt += feet
	}
}

func (c *counting) read(m tally.Mark) {
	i, ok := c.at[m.Piece]
	feet, read := feetOf(m.Text)
	if !ok || !read {
		return
	}
	r := &c.reels[i]
	r.OffFt, r.LeftFt, r.From = feet-r.LeftFt, feet, "reel"
}

// feetOf reads what a phone writes of a reel: "120.5 ft" or "36.7 m".
func feetOf(text string) (float64, bool) {
	number, unit, _ := strings.Cut(strings.TrimSpace(text), " ")
	f, err := strconv.ParseFloat(number, 64)
	switch {
	case err != nil || !(f >= 0 && f <= 1e6):
		return 0, false
	case unit == "ft":
		return f, true
	case unit == "m":
		return f / 0.3048, true
	}
	return 0, false
}
