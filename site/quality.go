package site

import (
	"coilwright/house"
	"coilwright/job"
)

// practice is the source of what every crew does and no standard says in these words.
const practice = "common practice, no source; local code and the panel maker's instructions win"

// quality is what is looked at on a wall, in hanging order. What will be covered is
// photographed first.
func (m *maker) quality(wall int) []PackQuality {
	w := m.j.House.Walls[wall]
	out := []PackQuality{
		{"wall", "Wall flat and dry, rot mended, studs marked; wires, pipes and meters found", "before", false, true, practice},
		{"barrier", "Weather barrier whole: lapped as shingles, seams and holes taped", "before", true, true, practice},
	}
	if len(w.Openings) > 0 {
		out = append(out, PackQuality{"flashing", "Openings flashed: sill first, sides over it, head last, all over or under the barrier as water runs", "before", true, true, practice})
	}
	out = append(out, PackQuality{"trim", "Corner posts plumb, channels and drip caps set, overlaps shed water", "before", true, false, practice},
		PackQuality{"starter", "Starter strip level on the datum right across, clear of the ground as the code asks", "start", true, true, practice},
		PackQuality{"locks", "Each course locked along its whole length; lines meet at the corners", "during", false, false, practice},
		PackQuality{"gaps", "End gaps kept for the temperature of the day, both ends", "during", false, false, practice},
		PackQuality{"nails", "Nails in the middle of their slots, into studs, heads clear: a panel slides by hand", "during", false, false, practice})
	if len(w.Openings) > 0 {
		out = append(out, PackQuality{"notches", "Notches free of the opening's trim on all sides; strips over and under openings held", "during", false, false, practice})
	}
	if hasRake(w) {
		out = append(out, PackQuality{"rakes", "Rake cuts follow the channel; cut edges dressed as the panel maker says", "during", false, false, practice})
	}
	return append(out,
		PackQuality{"sealant", "Sealant only where the panel maker asks for it: no joint that must drain is closed", "end", false, false, practice},
		PackQuality{"finish", "Top course held, scratches touched up, chips of steel swept off, wall photographed", "end", true, false, practice})
}

func hasRake(w house.Wall) bool {
	for _, e := range w.Edges {
		if e == house.Rake {
			return true
		}
	}
	return false
}

// Cautions stand where somebody is about to do the thing. Common practice; all defer
// to the law, the makers' instructions and the trained person on site.
var Cautions = [...]job.Caution{
	{Where: "site", Text: "Trailer: chocks set, exhaust away from people, clear of overhead lines. Bystanders back. Heat, weight and noise tire people: rest, water, ear protection. The law and the trained person on site come first."},
	{Where: "site", Text: "Old paint and old cladding may hold lead or asbestos: have them tested before you scrape, cut or tear off. Rules may or may not apply; ask a certified person; a stricter local rule wins."},
	{Where: "load", Text: "Coils tip and roll, straps spring. Rated lifting gear only, nobody beside or below, stand clear of a strap when it is cut; gloves and eye protection."},
	{Where: "thread", Text: "Power locked out while hands are near rollers or shear. Guards closed before it runs. The machine maker's instructions win."},
	{Where: "run", Text: "Guards on, hands clear of rollers and shear, gloves, eyes and ears protected. Edges are sharp; a moving panel pushes: nobody in front of it."},
	{Where: "jam", Text: "Jam: stop, lock the power out, try the start switch, only then reach in."},
	{Where: "carry", Text: "Keep long pieces well clear of overhead power lines. Put them down in wind. Gloves and sleeves: the edges cut."},
	{Where: "wall", Text: "Find wires and pipes before you nail. Metal cladding can become live: a licensed electrician decides on bonding and on what hangs in the wall."},
	{Where: "hang", Text: "Falls: guard or tie off as trained. Never read a screen on a ladder or on the move: come down first."},
}
