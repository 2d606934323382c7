package picture

import (
	"slices"
	"sync"

	"coilwright/cores"
)

// clothes is one wall's dressing made ready: labels, and each zone's rows.
type clothes struct {
	dress  Dressing
	labels *labels
	rows   []*rows
	sheens []*sheens
	step   float64         // of the tables of courses, in inches
	edges  [][]sharedTable // by column and zone
	pairs  [][]sharedPair  // the same for what lies right of an edge
	encode *encoder
	shelf  *shelf // where rows and tables are taken from
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

// wardrobe makes all dressings ready, in steps that all processors share.
func (p *Prepared) wardrobe(dress []Dressing, shelf *shelf) []*clothes {
	out := make([]*clothes, len(dress))
	for i, d := range dress {
		out[i] = &clothes{dress: d, trimmed: d.trim() >= 0, encode: p.encode, shelf: shelf, eaves: p.light[i].eaveLights(),
			rows: make([]*rows, len(d)), sheens: make([]*sheens, len(d)), step: stepOf(p.edges[i]), edges: make([][]sharedTable, len(p.edges[i])), pairs: make([][]sharedPair, len(p.edges[i]))}
		for k := range out[i].edges {
			out[i].edges[k] = make([]sharedTable, len(d))
			out[i].pairs[k] = make([]sharedPair, len(d))
		}
	}
	for _, r := range p.rowsOf(dress, out, shelf) {
		for z := range dress[r.wall] {
			if dress[r.wall].twin(z) == r.number {
				out[r.wall].rows[z], out[r.wall].sheens[z] = r.rows, r.view.sheens
			}
		}
	}
	return out
}

// rowsOf rasters the walls' labels and traces the rows of all zones that differ, on the
// walls that are seen.
func (p *Prepared) rowsOf(dress []Dressing, clothes []*clothes, shelf *shelf) (all []*rowsOf) {
	for i, d := range dress {
		if !p.seen(i) {
			continue
		}
		for z := range d {
			if d.twin(z) == z {
				all = append(all, &rowsOf{wall: i, number: z, zone: d[z], d: p.light[i]})
			}
		}
	}
	traces, shine := tracesOf(all), sheensOf(dress)
	cores.Each(len(dress), func(i int) { clothes[i].labels = newLabels(p.light[i].wall, dress[i]) })
	cores.Each(len(all), func(k int) {
		r := all[k]
		r.begin(traces[k], shine[r.zone.Finish.mirror()], p.photo.Camera, r.reach(clothes[r.wall].labels, dress[r.wall]), p.margin(r.wall), shelf)
	})
	type piece struct {
		of *rowsOf
		n  int
	}
	var blocks, places []piece
	for _, r := range all {
		for n := range r.blocks() {
			blocks = append(blocks, piece{r, n})
		}
		for n := range r.sums {
			places = append(places, piece{r, n})
		}
	}
	cores.Each(len(blocks), func(k int) { blocks[k].of.trace(blocks[k].n) })
	cores.Each(len(places), func(k int) { places[k].of.sumUp(places[k].n) })
	return all
}

// tracesOf are the traces of zones' faces, each face traced once.
func tracesOf(all []*rowsOf) []*trace {
	out := make([]*trace, len(all))
	for i, r := range all {
		same := slices.IndexFunc(all[:i], func(a *rowsOf) bool { return a.zone.Face.equal(r.zone.Face) })
		if same >= 0 {
			out[i] = out[same]
		} else {
			out[i] = newTrace(r.zone.Face)
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
		return a.Vertical == b.Vertical && a.Origin == b.Origin && a.Finish == b.Finish && a.Face.equal(b.Face)
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
