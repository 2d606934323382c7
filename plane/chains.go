package plane

import "slices"

// sweep is the work in hand of one call of Bands.
//
// A code says where a height lies among the lines: 2k on line k, 2b+1 strictly
// inside band b; -1 is below all lines and 2*len(lines)-1 above them.
type sweep struct {
	lines    []Length
	codes    []int32 // of every point of every ring
	vertices []vertex
	chains   []chain
	closed   []chain // whole rings inside one band
	levels   []level
	seen     pointSet // corners inside bands
	touching []bool   // by band: two corners inside it are one point
	open     bool     // the last chain goes on

	byLine sides
	inBand grouping // of closed

	points  Ring // where the parts' rings are kept
	tags    []Tag
	found   []Part
	outers  []outline // of the band in hand
	holes   []outline
	careful tracer
}

// bands is Bands, in the sweep's memory.
func (s *sweep) bands(rings []TaggedRing, lines []Length) []Part {
	if len(lines) < 2 {
		return nil
	}
	s.reset(rings, lines)
	at := 0
	for _, r := range rings {
		n := len(r.Points)
		s.walk(r, s.codes[at:at+n])
		at += n
	}
	return s.parts()
}

// emptied gives s without its items and with room for n.
func emptied[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, 0, n)
	}
	return s[:0]
}

// zeroed gives n zero items, in s where it has the room.
func zeroed[T any](s []T, n int) []T {
	s = emptied(s, n)[:n]
	clear(s)
	return s
}

// vertex is a point with the tag of the edge that leaves it.
type vertex struct {
	Point
	tag Tag
}

// chain is a stretch of a ring inside one band, vertices[first:end], from line to
// line.
type chain struct {
	first, end int32
	band       int32
	next       int32 // the chain that follows around the part
	floorFrom  bool  // starts on the band's lower line, else on its upper one
	floorTo    bool
	done       bool
	levels     [2]int32 // the level edges on the way to next
}

// level is an edge along a line, from a to b > a, with the inside above it
// (side even: 2*band) or below it (side odd: 2*band+1).
type level struct {
	a, b Length
	tag  Tag
	side int32
}

// reset finds the codes of all points and makes room for what the walk finds.
func (s *sweep) reset(rings []TaggedRing, lines []Length) {
	s.lines, s.touching, s.open = lines, zeroed(s.touching, len(lines)-1), false
	n := 0
	for _, r := range rings {
		n += len(r.Points)
	}
	s.codes = emptied(s.codes, n)
	corners, crossings := 0, 0
	for _, r := range rings {
		a, b := s.locate(r)
		corners, crossings = corners+a, crossings+b
	}
	s.vertices = emptied(s.vertices, corners+2*crossings)
	s.chains = emptied(s.chains, crossings)
	s.closed, s.levels = s.closed[:0], s.levels[:0]
	s.seen = s.seen.emptied(corners)
}

// locate appends the codes of a ring's points; it counts the points inside bands
// and bounds the number of chains.
func (s *sweep) locate(r TaggedRing) (corners, chains int) {
	if len(r.Points) == 0 {
		return 0, 0
	}
	k, _ := slices.BinarySearch(s.lines, r.Points[len(r.Points)-1].Y)
	before := s.codeNear(k, r.Points[len(r.Points)-1].Y)
	for _, p := range r.Points {
		c := s.codeNear(int(before+1)/2, p.Y)
		s.codes = append(s.codes, c)
		if c&1 != 0 {
			corners++
		}
		chains += int(max(c-before, before-c)+1) / 2
		before = c
	}
	return corners, chains
}

// codeNear gives the code of a height by stepping from line k.
func (s *sweep) codeNear(k int, y Length) int32 {
	for k < len(s.lines) && s.lines[k] < y {
		k++
	}
	for k > 0 && s.lines[k-1] >= y {
		k--
	}
	if k < len(s.lines) && s.lines[k] == y {
		return int32(2 * k)
	}
	return int32(2*k - 1)
}

// walk takes a ring apart into chains and level edges.
func (s *sweep) walk(r TaggedRing, codes []int32) {
	n := len(codes)
	start := 0
	for start < n && codes[start]&1 != 0 && codes[start] == codes[(start+1)%n] {
		start++
	}
	if start == n {
		s.whole(r, codes)
		return
	}
	s.open = false
	for k := start; k < start+n; k++ {
		i, j := k%n, (k+1)%n
		s.edge(r.Points[i], r.Points[j], codes[i], codes[j], r.Tags[i], false)
	}
	if s.open { // the chain that the walk began in the middle of
		j := (start + 1) % n
		s.edge(r.Points[start], r.Points[j], codes[start], codes[j], r.Tags[start], true)
	}
}

// whole keeps a ring that meets no line.
func (s *sweep) whole(r TaggedRing, codes []int32) {
	if len(codes) < 3 || !s.within(codes[0]>>1) {
		return
	}
	c := chain{band: codes[0] >> 1, first: int32(len(s.vertices))}
	for i, p := range r.Points {
		if p != r.Points[(i+1)%len(r.Points)] {
			s.corner(p, r.Tags[i], c.band)
		}
	}
	c.end = int32(len(s.vertices))
	s.closed = append(s.closed, c)
}

func (s *sweep) within(band int32) bool { return band >= 0 && int(band) < len(s.touching) }

// corner keeps a ring's point inside a band.
func (s *sweep) corner(p Point, tag Tag, band int32) {
	s.vertices = append(s.vertices, vertex{p, tag})
	if s.seen.add(s.vertices, len(s.vertices)-1) {
		s.touching[band] = true
	}
}

// edge goes from p (code a) to q (code c). With last it stops at the first line.
func (s *sweep) edge(p, q Point, a, c int32, tag Tag, last bool) {
	if a == c && a&1 == 0 {
		s.level(p, q, a/2, tag)
		return
	}
	if s.open && p != q {
		s.corner(p, tag, a>>1)
	}
	low, high, step := p, q, int32(1)
	if a > c {
		low, high, step = q, p, -1
	}
	at := p
	for a != c {
		if a&1 == 0 {
			s.begin(at, tag, (a+step)>>1, step > 0)
			a += step
			continue
		}
		a += step
		if at = q; a != c {
			y := s.lines[a/2]
			at = Point{AtHeight(low, high, y), y}
		}
		s.finish(at, step < 0)
		if last {
			return
		}
	}
}

// level keeps an edge along line k for the band on its inner side.
func (s *sweep) level(p, q Point, k int32, tag Tag) {
	switch {
	case q.X > p.X && s.within(k):
		s.levels = append(s.levels, level{p.X, q.X, tag, 2 * k})
	case q.X < p.X && s.within(k-1):
		s.levels = append(s.levels, level{q.X, p.X, tag, 2*k - 1})
	}
}

func (s *sweep) begin(p Point, tag Tag, band int32, floor bool) {
	if s.open = s.within(band); s.open {
		s.chains = append(s.chains, chain{band: band, first: int32(len(s.vertices)), floorFrom: floor})
		s.vertices = append(s.vertices, vertex{p, tag})
	}
}

func (s *sweep) finish(p Point, floor bool) {
	if s.open {
		s.vertices = append(s.vertices, vertex{p, Cut})
		c := &s.chains[len(s.chains)-1]
		c.end, c.floorTo = int32(len(s.vertices)), floor
	}
	s.open = false
}
