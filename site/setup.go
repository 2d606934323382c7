package site

import (
	"fmt"
	"math"
	"slices"

	"coilwright/coil"
	"coilwright/steel"
)

func (m *maker) setups() []PackSetup {
	out := []PackSetup{}
	for i, run := range m.r.Plan.Runs {
		s := run.Setup
		panel, _ := m.j.Book.Panel(s.Panel)
		u := PackSetup{
			ID: setupID(s), N: i + 1, Panel: s.Panel, PanelTitle: orID(panel.Title, s.Panel), Texture: s.Texture, TextureRollers: rollers(s.Texture),
			Colour: s.Colour, ColourTitle: m.colour(s.Colour), Thickness: m.thick(s.Thickness), Width: m.wide(s.Width), Minutes: math.Ceil(run.Minutes),
			Reels: []PackReel{},
		}
		for _, id := range run.Pieces {
			c := m.coilOf[id]
			if n := len(u.Reels); n == 0 || u.Reels[n-1].Coil != c {
				u.Reels = append(u.Reels, PackReel{Coil: c, Pieces: []string{}})
			}
			last := &u.Reels[len(u.Reels)-1]
			last.Pieces = append(last.Pieces, m.keys.Of[id])
		}
		u.Steps = m.steps(s, u)
		out = append(out, u)
	}
	return out
}

// rollers says whether the texture rollers are in. A book's plain texture is known by
// its id.
func rollers(texture string) string {
	if slices.Contains([]string{"", "smooth", "plain", "none"}, texture) {
		return "out"
	}
	return "in"
}

// steps is the checklist of a set-up (common practice, no source; the machine maker's
// instructions win).
func (m *maker) steps(s coil.Setup, u PackSetup) []PackStep {
	texture := "Texture rollers OUT: " + orPlain(s.Texture)
	if u.TextureRollers == "in" {
		texture = "Texture rollers IN: " + s.Texture
	}
	loads := "Coil on the reel, colour and lot read from its tag"
	if len(u.Reels) > 0 {
		loads = "On the reel: " + m.coilText(u.Reels[0].Coil) + "; read its lot from the tag"
	}
	return []PackStep{
		{"power", "Power locked out before anything is changed", ""},
		{"rollers", "Rollers set for " + u.PanelTitle + ", strip " + u.Width + " wide, " + u.Thickness, "run"},
		{"texture", texture, "run"},
		{"coil", loads, "load"},
		{"thread", "Lead end cut square and filed; strip threaded; guards closed", "thread"},
		{"first", "First piece: read its length with the tape against " + m.exact(m.step) + ", look at locks, nail slots and colour", "run"},
	}
}

func (m *maker) coilText(id string) string {
	for _, c := range m.r.Plan.Reels {
		if c.ID == id {
			return fmt.Sprintf("%s (lot %s, %s)", m.coilName(c), orID(c.Lot, "not stated"), orID(m.colour(c.Colour), "any colour"))
		}
	}
	return id
}

func (m *maker) colour(id string) string {
	i := slices.IndexFunc(m.j.Book.Colours, func(c steel.Colour) bool { return c.ID == id })
	if i < 0 {
		return id
	}
	return orID(m.j.Book.Colours[i].Title, id)
}

func orID(title, id string) string {
	if title == "" {
		return id
	}
	return title
}

// Bounds of a bundle (common practice, no source): what two people lift, and few
// enough that none of it is buried.
const (
	mostInBundle   = 10
	peopleToBundle = 2
)

// bundles gathers pieces that hang one after another on one wall from one set-up.
func (m *maker) bundles(pieces []PackPiece) []PackBundle {
	out := []PackBundle{}
	most := peopleToBundle * m.carry.PersonLb
	for i := range pieces {
		p := &pieces[i]
		if p.Setup == "" {
			continue
		}
		n := len(out)
		if n == 0 || out[n-1].Wall != p.Wall || out[n-1].Setup != p.Setup || len(out[n-1].Pieces) >= mostInBundle || out[n-1].WeightLb+p.WeightLb > most {
			out = append(out, PackBundle{Wall: p.Wall, Setup: p.Setup})
			n++
		}
		b := &out[n-1]
		b.Pieces = append(b.Pieces, p.Key)
		b.WeightLb = tenth(b.WeightLb + p.WeightLb)
		b.People = max(b.People, p.People, int(math.Ceil(b.WeightLb/m.carry.PersonLb)))
	}
	// One that is a bundle by itself carries its own label.
	out = slices.DeleteFunc(out, func(b PackBundle) bool { return len(b.Pieces) == 1 })
	for i := range out {
		b := &out[i]
		b.ID, b.First, b.Last, b.Count = digest("bundle "+fmt.Sprint(b.Pieces)), b.Pieces[0], b.Pieces[len(b.Pieces)-1], len(b.Pieces)
	}
	return out
}
