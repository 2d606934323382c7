package site

import (
	"fmt"
	"math"
	"slices"

	"coilwright/tally"
)

// Relay is what laying out anew changed. Pieces that stay as they are keep their key.
type Relay struct {
	From    int64          `json:"from"`
	To      int64          `json:"to"`
	Same    int            `json:"same"`
	Renamed []RelayName    `json:"renamed" doc:"The same piece under another id"`
	Changed []RelayChanged `json:"changed" doc:"The same place, another cut"`
	Gone    []RelayWas     `json:"gone"`
	Added   []PackPiece    `json:"added"`
	Walls   []string       `json:"walls" doc:"Walls of which anything changed"`
}

// RelayName is a piece whose id or number moved on.
type RelayName struct {
	Key string `json:"key"`
	Was string `json:"was"`
	Now string `json:"now"`
}

// RelayChanged is a piece that is cut otherwise now.
type RelayChanged struct {
	Was    RelayWas  `json:"was"`
	Now    PackPiece `json:"now"`
	What   []string  `json:"what"`
	Formed bool      `json:"formed" doc:"Steel was formed for it already"`
}

// RelayWas is a piece as it was.
type RelayWas struct {
	Key    string `json:"key"`
	ID     string `json:"id"`
	Number string `json:"number"`
	Wall   string `json:"wall"`
	Label  string `json:"label"`
	State  string `json:"state" enum:"waiting,ready,hung"`
}

// Differ compares two packs of one scheme; marks say what was formed for the old one.
func Differ(was, now *Pack, marks []tally.Mark) Relay {
	d := Relay{From: was.Revision, To: now.Revision, Renamed: []RelayName{}, Changed: []RelayChanged{}, Gone: []RelayWas{}, Added: []PackPiece{}, Walls: []string{}}
	old := map[string]*PackPiece{}
	var keys []string
	for i := range was.Pieces {
		old[was.Pieces[i].Key] = &was.Pieces[i]
		keys = append(keys, was.Pieces[i].Key)
	}
	var fresh []*PackPiece
	for i := range now.Pieces {
		p := &now.Pieces[i]
		o := old[p.Key]
		if o == nil {
			fresh = append(fresh, p)
			continue
		}
		d.Same++
		if o.ID != p.ID || o.Number != p.Number {
			d.Renamed = append(d.Renamed, RelayName{p.Key, o.ID + " " + o.Number, p.ID + " " + p.Number})
		}
		delete(old, p.Key)
	}
	d.match(was, old, fresh, tally.Of(keys, marks))
	return d
}

// match pairs what is gone with what is new where both lie in one place of a wall.
func (d *Relay) match(was *Pack, old map[string]*PackPiece, fresh []*PackPiece, state tally.State) {
	for i := range was.Pieces {
		o := old[was.Pieces[i].Key]
		if o == nil {
			continue
		}
		w := RelayWas{o.Key, o.ID, o.Number, o.Wall, o.Label, string(state.Pieces[o.Key].Place)}
		d.touch(o.Wall)
		best, most := -1, 0.0
		for k, p := range fresh {
			if a := overlap(o, p); a > most {
				best, most = k, a
			}
		}
		if best < 0 {
			d.Gone = append(d.Gone, w)
			continue
		}
		d.Changed = append(d.Changed, RelayChanged{w, *fresh[best], changes(o, fresh[best]), w.State != string(tally.Waiting)})
		fresh = slices.Delete(fresh, best, best+1)
	}
	for _, p := range fresh {
		d.touch(p.Wall)
		d.Added = append(d.Added, *p)
	}
}

func (d *Relay) touch(wall string) {
	if !slices.Contains(d.Walls, wall) {
		d.Walls = append(d.Walls, wall)
	}
}

// overlap is the area that two pieces' boxes share on one wall, in square inches.
func overlap(a, b *PackPiece) float64 {
	if a.Wall != b.Wall {
		return 0
	}
	aw, ah := box(a)
	bw, bh := box(b)
	w := math.Min(a.AtIn[0]+aw, b.AtIn[0]+bw) - math.Max(a.AtIn[0], b.AtIn[0])
	h := math.Min(a.AtIn[1]+ah, b.AtIn[1]+bh) - math.Max(a.AtIn[1], b.AtIn[1])
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

// box is the width and height of a piece on its wall.
func box(p *PackPiece) (w, h float64) {
	if p.Vertical {
		return p.AcrossIn, p.LengthIn
	}
	return p.LengthIn, p.AcrossIn
}

// changes says in words what became of a piece.
func changes(o, p *PackPiece) []string {
	var out []string
	say := func(what, was, now string) {
		if was != now {
			out = append(out, fmt.Sprintf("%s %s -> %s", what, was, now))
		}
	}
	say("length", o.Length, p.Length)
	say("panel", o.Panel, p.Panel)
	say("texture", orPlain(o.Texture), orPlain(p.Texture))
	say("colour", o.Colour, p.Colour)
	say("from the left end", o.At[0], p.At[0])
	say("height", o.At[1], p.At[1])
	say("left end", o.Ends[0].Cut, p.Ends[0].Cut)
	say("right end", o.Ends[1].Cut, p.Ends[1].Cut)
	if fmt.Sprint(o.Notches) != fmt.Sprint(p.Notches) {
		out = append(out, fmt.Sprintf("notches %d -> %d, or their places", len(o.Notches), len(p.Notches)))
	}
	if len(out) == 0 {
		out = append(out, "its outline, by less than the shop's step or along a slanted cut")
	}
	return out
}
