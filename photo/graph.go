package photo

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// vertex is one corner in the world: of a wall's outline or opening, or another
// marked point on it. Its x and y are classes: corners on one plumb line share x,
// on one level line y.
type vertex struct {
	wall int
	x, y int // numbers of classes, after numbering
}

// seen is one mark: a vertex at a pixel of a photo.
type seen struct {
	photo, vertex int
	name          string
	at            Pixel
}

// wallModel is one wall of the world. Its frame stands where its parent's corner
// is (child of a corner), or free.
type wallModel struct {
	id       string
	outline  []int // vertices
	openings []openingModel
	free     bool
	parent   int // wall index, -1 for none
	hinge    int // vertex of the parent on the common corner
	anchor   int // own vertex whose x is 0
	photo    int // first photo that sees it
}

type openingModel struct {
	id, kind string
	corners  [4]int
	free     bool
}

// model is all photos' marks as one set of vertices.
type model struct {
	photos   []Marks
	walls    []wallModel
	vertices []vertex
	seen     []seen
	lengths  []modelLength
	meet     []meeting // vertices of different walls that are one place
	square   [][2]int  // walls at right angles
	nx, ny   int       // number of classes
}

type modelLength struct {
	a, b          int
	inches, sigma float64
	photo, index  int
}

// meeting says that two vertices are one place, so their walls close.
type meeting struct{ a, b int }

// builder gathers vertices and what they share.
type builder struct {
	m      model
	wallAt map[string]int
	at     map[string]int     // "wall/outline/2", "wall/S1/0", "photo/wall/point": vertex
	byName []map[string][]int // per photo: point name -> vertices
	xs, ys forest
}

// build makes the model, or says what is wrong with the marks.
func build(photos []Marks) (model, error) {
	b := builder{wallAt: map[string]int{}, at: map[string]int{}}
	b.m.photos = photos
	for p, m := range photos {
		if err := m.check(p); err != nil {
			return model{}, err
		}
		b.byName = append(b.byName, map[string][]int{})
		for _, w := range m.Walls {
			if err := b.wall(p, w); err != nil {
				return model{}, err
			}
		}
		b.shared(p)
	}
	for p := range photos {
		if err := b.corners(p); err != nil {
			return model{}, err
		}
		if err := b.lengths(p); err != nil {
			return model{}, err
		}
	}
	b.hang()
	b.number()
	return b.m, nil
}

// wall adds a wall's vertices as photo p sees them.
func (b *builder) wall(p int, w MarkedWall) error {
	wi, known := b.wallAt[w.ID]
	if !known {
		wi = len(b.m.walls)
		b.wallAt[w.ID] = wi
		b.m.walls = append(b.m.walls, wallModel{id: w.ID, parent: -1, free: w.Free, photo: p})
		for i := range w.Outline {
			b.m.walls[wi].outline = append(b.m.walls[wi].outline, b.vertex(wi, fmt.Sprintf("%d/outline/%d", wi, i)))
		}
		b.m.walls[wi].anchor = b.m.walls[wi].outline[0]
	} else if have := len(b.m.walls[wi].outline); have != len(w.Outline) {
		return wrong(p, "walls."+w.ID, "mark the same corners on every photo", "it has %d corners here and %d on another photo", len(w.Outline), have)
	}
	for i, name := range w.Outline {
		b.see(p, name, b.m.walls[wi].outline[i])
	}
	for _, o := range w.Openings {
		b.opening(p, wi, o)
	}
	for _, list := range w.Level {
		b.join(p, wi, list, &b.ys)
	}
	for _, list := range w.Plumb {
		b.join(p, wi, list, &b.xs)
	}
	return nil
}

func (b *builder) opening(p, wi int, o MarkedOpening) {
	var corners [4]int
	for k := range corners {
		corners[k] = b.vertex(wi, fmt.Sprintf("%d/opening/%s/%d", wi, o.ID, k))
		b.see(p, o.Corners[k], corners[k])
	}
	known := slices.ContainsFunc(b.m.walls[wi].openings, func(m openingModel) bool { return m.id == o.ID })
	if !known {
		b.m.walls[wi].openings = append(b.m.walls[wi].openings, openingModel{o.ID, o.Kind, corners, o.Free})
	}
	if !o.Free {
		b.xs.unite(corners[0], corners[3])
		b.xs.unite(corners[1], corners[2])
		b.ys.unite(corners[0], corners[1])
		b.ys.unite(corners[3], corners[2])
	}
}

// vertex gives the vertex of that key, new or known.
func (b *builder) vertex(wall int, key string) int {
	v, ok := b.at[key]
	if !ok {
		v = len(b.m.vertices)
		b.at[key] = v
		b.m.vertices = append(b.m.vertices, vertex{wall: wall})
		b.xs.grow()
		b.ys.grow()
	}
	return v
}

// see notes that photo p shows a vertex under a name. A point that serves several
// vertices was clicked once and is seen once.
func (b *builder) see(p int, name string, v int) {
	if slices.Contains(b.byName[p][name], v) {
		return
	}
	if len(b.byName[p][name]) == 0 {
		b.m.seen = append(b.m.seen, seen{p, v, name, b.m.photos[p].Points[name]})
	}
	b.byName[p][name] = append(b.byName[p][name], v)
}

// on gives the vertex that a point is on a wall, making one where the point is
// none of its corners.
func (b *builder) on(p, wall int, name string) int {
	for _, v := range b.byName[p][name] {
		if b.m.vertices[v].wall == wall {
			return v
		}
	}
	v := b.vertex(wall, fmt.Sprintf("%d/point/%d/%s", wall, p, name))
	b.see(p, name, v)
	return v
}

func (b *builder) join(p, wall int, names []string, in *forest) {
	for _, n := range names[1:] {
		in.unite(b.on(p, wall, names[0]), b.on(p, wall, n))
	}
}

// shared makes one place of vertices that one point of a photo marks.
func (b *builder) shared(p int) {
	names := make([]string, 0, len(b.byName[p]))
	for name := range b.byName[p] {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		all := b.byName[p][name]
		for _, v := range all[1:] {
			b.ys.unite(all[0], v) // heights are the whole house's
			if b.m.vertices[v].wall == b.m.vertices[all[0]].wall {
				b.xs.unite(all[0], v)
			} else {
				b.m.meet = append(b.m.meet, meeting{all[0], v})
			}
		}
	}
}

// corners joins walls along their upright edges.
func (b *builder) corners(p int) error {
	for i, c := range b.m.photos[p].Corners {
		var edge [2][2]int
		var wall [2]int
		for k, ref := range c.Between {
			where := fmt.Sprintf("corners[%d].between[%d]", i, k)
			wi, at, err := b.edge(p, where, ref)
			if err != nil {
				return err
			}
			wall[k], edge[k] = wi, at
			b.xs.unite(at[0], at[1]) // both walls are plumb, so where they meet is
		}
		if wall[0] == wall[1] {
			return wrong(p, fmt.Sprintf("corners[%d]", i), "name two walls", "a wall does not meet itself")
		}
		b.m.meet = append(b.m.meet, meeting{edge[0][0], edge[1][0]})
		if c.Square {
			b.m.square = append(b.m.square, wall)
		}
	}
	return nil
}

// edge finds the two vertices of an upright edge named as in "south.right".
func (b *builder) edge(p int, where, ref string) (wall int, at [2]int, err error) {
	const mend = `write it like "south.right", "south.left" or "south.edge[1]"`
	dot := strings.LastIndex(ref, ".")
	if dot < 0 {
		return 0, at, wrong(p, where, mend, "%q names no edge", ref)
	}
	wi, ok := b.wallAt[ref[:dot]]
	if !ok {
		return 0, at, wrong(p, where, mend, "no wall is named %q", ref[:dot])
	}
	outline := b.m.walls[wi].outline
	pick := func(i int) (int, [2]int, error) {
		return wi, [2]int{outline[i], outline[(i+1)%len(outline)]}, nil
	}
	switch side := ref[dot+1:]; {
	case side == "right" || side == "left":
		if i := b.upright(wi, side == "right"); i >= 0 {
			return pick(i)
		}
		return 0, at, wrong(p, where, mend, "wall %q shows no upright edge on its %s", ref[:dot], side)
	case strings.HasPrefix(side, "edge[") && strings.HasSuffix(side, "]"):
		if i, err := strconv.Atoi(side[5 : len(side)-1]); err == nil && i >= 0 && i < len(outline) {
			return pick(i)
		}
	}
	return 0, at, wrong(p, where, mend, "%q names no edge", ref)
}

// upright finds the outline's outermost edge that runs up on the right, or down
// on the left, as the wall's first photo shows it; -1 for none.
func (b *builder) upright(wall int, right bool) int {
	w := b.m.walls[wall]
	up := b.rising(w)
	best, most := -1, math.Inf(-1)
	for i := range w.outline {
		from, ok := b.pixel(w.photo, w.outline[i])
		to, ok2 := b.pixel(w.photo, w.outline[(i+1)%len(w.outline)])
		across := func(u, v float64) float64 { return -up.V*u + up.U*v } // right of up
		du, dv, out := across(to.U-from.U, to.V-from.V), up.U*(to.U-from.U)+up.V*(to.V-from.V), across(from.U+to.U, from.V+to.V)
		if !right {
			dv, out = -dv, -out
		}
		if ok && ok2 && dv > math.Abs(du) && out > most {
			best, most = i, out
		}
	}
	return best
}

// rising is the way up on the wall's first photo, a unit vector in pixels: from
// lower corners to upper ones.
func (b *builder) rising(w wallModel) Pixel {
	sum := Pixel{0, -1e-9}
	add := func(low, high int) {
		p, ok := b.pixel(w.photo, low)
		q, ok2 := b.pixel(w.photo, high)
		if ok && ok2 {
			sum = Pixel{sum.U + q.U - p.U, sum.V + q.V - p.V}
		}
	}
	add(w.outline[0], w.outline[len(w.outline)-1])
	for _, o := range w.openings {
		add(o.corners[0], o.corners[3])
		add(o.corners[1], o.corners[2])
	}
	long := math.Hypot(sum.U, sum.V)
	return Pixel{sum.U / long, sum.V / long}
}

func (b *builder) pixel(p, v int) (Pixel, bool) {
	for name, all := range b.byName[p] {
		if slices.Contains(all, v) {
			return b.m.photos[p].Points[name], true
		}
	}
	return Pixel{}, false
}

// usualPlusMinus is the 95 % half-width, in inches, of a length stated without
// one: a tape read by one person (common practice, no source).
const usualPlusMinus = 0.25

func (b *builder) lengths(p int) error {
	for i, l := range b.m.photos[p].Lengths {
		where := fmt.Sprintf("lengths[%d]", i)
		var ends [2]int
		for k, name := range l.Between {
			all := b.byName[p][name]
			if len(all) == 0 {
				return wrong(p, where, "measure between corners of walls or openings", "point %q lies on no marked wall", name)
			}
			ends[k] = all[0]
		}
		plusMinus := l.PlusMinus.Inches()
		if plusMinus <= 0 {
			plusMinus = usualPlusMinus
		}
		b.m.lengths = append(b.m.lengths, modelLength{ends[0], ends[1], l.Length.Inches(), plusMinus / 1.96, p, i})
	}
	return nil
}

// hang gives each wall the corner that it hangs on: the walls are walked from the
// first, and meetings that a tree of walls does not need stay as closures.
func (b *builder) hang() {
	placed := make([]bool, len(b.m.walls))
	for root := range b.m.walls {
		if placed[root] {
			continue
		}
		placed[root] = true
		for b.hangOne(placed) {
		}
	}
}

func (b *builder) hangOne(placed []bool) bool {
	for i, meet := range b.m.meet {
		for range 2 {
			parent, child := b.m.vertices[meet.a].wall, b.m.vertices[meet.b].wall
			if placed[parent] && !placed[child] {
				w := &b.m.walls[child]
				w.parent, w.hinge, w.anchor = parent, meet.a, meet.b
				placed[child] = true
				b.m.meet = slices.Delete(b.m.meet, i, i+1)
				return true
			}
			meet.a, meet.b = meet.b, meet.a
		}
	}
	return false
}

// number gives the classes their numbers.
func (b *builder) number() {
	b.m.nx = b.xs.number(func(v, class int) { b.m.vertices[v].x = class })
	b.m.ny = b.ys.number(func(v, class int) { b.m.vertices[v].y = class })
}

// forest is union and find over the vertices.
type forest struct{ up []int }

func (f *forest) grow() { f.up = append(f.up, len(f.up)) }

func (f *forest) root(v int) int {
	for f.up[v] != v {
		v = f.up[v]
	}
	return v
}

func (f *forest) unite(a, b int) { f.up[f.root(b)] = f.root(a) }

func (f *forest) number(set func(v, class int)) int {
	class := map[int]int{}
	for v := range f.up {
		r := f.root(v)
		if _, ok := class[r]; !ok {
			class[r] = len(class)
		}
		set(v, class[r])
	}
	return len(class)
}
