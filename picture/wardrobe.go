package picture

import (
	"slices"
	"sync"
)

// clothes is one wall's dressing made ready: labels, and each zone's rows.
type clothes struct {
	dress  Dressing
	labels *labels
	rows   []*rows
	step   float64         // of the tables of courses, in inches
	edges  [][]sharedTable // by column and zone
	pairs  [][]sharedPair  // the same for what lies right of an edge
	encode *encoder
	eaves  *eaveLights
	// trimmed says that the dressing has trim of its own: old boards give way to it
	trimmed bool
}

// sharedTable is a table that whoever needs it first makes.
type sharedTable struct {
	once  sync.Once
	table *table
}

// sharedPair is two of them, joined likewise.
type sharedPair struct {
	once   sync.Once
	tables *twoTables
}

// wardrobe makes all dressings ready, zone by zone in parallel.
func (p *Prepared) wardrobe(dress []Dressing, e *encoder) []*clothes {
	out := make([]*clothes, len(dress))
	type job struct{ wall, zone int }
	var jobs []job
	for i, d := range dress {
		out[i] = &clothes{dress: d, trimmed: d.trim() >= 0, encode: e, eaves: p.light[i].eaveLights(),
			rows: make([]*rows, len(d)), step: stepOf(p.edges[i]), edges: make([][]sharedTable, len(p.edges[i])), pairs: make([][]sharedPair, len(p.edges[i]))}
		for k := range out[i].edges {
			out[i].edges[k] = make([]sharedTable, len(d))
			out[i].pairs[k] = make([]sharedPair, len(d))
		}
		jobs = append(jobs, job{i, -1})
		for z := range d {
			if d.twin(z) == z {
				jobs = append(jobs, job{i, z})
			}
		}
	}
	shine := sheensOf(dress)
	parallel(len(jobs), func(k int) {
		j := jobs[k]
		d, c := p.light[j.wall], out[j.wall]
		if !p.seen(j.wall) {
			return
		}
		if j.zone < 0 {
			c.labels = newLabels(d.wall, c.dress)
			return
		}
		z := c.dress[j.zone]
		low, high := d.wall.box()
		eye, margin := d.wall.eye(p.photo.Camera), p.margin(j.wall)
		if z.Vertical {
			c.rows[j.zone] = d.newRows(z, shine[z.Finish.mirror()], eye, low.X, high.X, low.Y, high.Y, margin)
		} else {
			c.rows[j.zone] = d.newRows(z, shine[z.Finish.mirror()], eye, low.Y, high.Y, low.X, high.X, margin)
		}
	})
	for i, d := range dress {
		for z := range d {
			out[i].rows[z] = out[i].rows[d.twin(z)]
		}
	}
	return out
}

// trim is the number of the first board of trim, -1 for none.
func (d Dressing) trim() int { return slices.IndexFunc(d, func(z Zone) bool { return z.Trim }) }

// twin is the first zone that looks as zone z does, wherever it hangs: boards of trim
// are many, and one set of rows serves them all.
func (d Dressing) twin(z int) int {
	return slices.IndexFunc(d[:z+1], func(a Zone) bool {
		b := d[z]
		return a.Vertical == b.Vertical && a.Origin == b.Origin && a.Finish == b.Finish && a.Face.Period == b.Face.Period && slices.Equal(a.Face.Points, b.Face.Points)
	})
}

// mirror is what a finish's sheen follows from.
func (f Finish) mirror() [2]float64 { return [2]float64{f.Gloss, f.Roughness} }

// sheensOf works the sheens of all finishes out, each kind once.
func sheensOf(dress []Dressing) map[[2]float64]*sheens {
	out := map[[2]float64]*sheens{}
	for _, d := range dress {
		for _, z := range d {
			if k := z.Finish.mirror(); out[k] == nil {
				out[k] = z.Finish.sheens()
			}
		}
	}
	return out
}

// seen says whether any of a wall is seen.
func (p *Prepared) seen(wall int) bool {
	return slices.ContainsFunc(p.strips, func(s strip) bool { return s.wall == wall })
}

// margin is how far beyond a wall's box its pixels may look, in inches.
func (p *Prepared) margin(wall int) float64 {
	m := 2.0
	for i := range p.strips {
		if s := &p.strips[i]; s.wall == wall {
			m = max(m, 4*s.pixel, 4*s.across)
		}
	}
	return min(m, 200)
}
