package pack

// completion packs what is left into a given number of equal bins, depth
// first: the longest piece opens a bin, the bin is completed in every way that
// wastes no more than there is to waste, and states that failed are
// remembered (bin completion, Korf 2002, from memory). It finds tight packings that
// rounding misses; its failure proves nothing.
type completion struct {
	m     *model
	room  int64
	left  []int
	more  []int64 // length left in kinds i, i+1, ... as the search began
	key   []uint64
	state uint64
	seen  map[uint64]int64 // failed states, with what they could waste
	take  []entry
	plan  packing
	nodes int
}

// completed returns a plan of at most bins bins for the demand left, or nil.
func (m *model) completed(left []int, bins int, nodes int) packing {
	c := &completion{m: m, room: m.supplies[0].room, left: append([]int(nil), left...), nodes: nodes,
		key: make([]uint64, len(left)), seen: map[uint64]int64{}, more: make([]int64, len(left)+1)}
	total := int64(0)
	for i := len(left) - 1; i >= 0; i-- {
		c.key[i] = (uint64(i) + 1) * 0x9e3779b97f4a7c15
		c.key[i] ^= c.key[i] >> 29
		c.key[i] *= 0xbf58476d1ce4e5b9
		c.state += c.key[i] * uint64(left[i])
		total += int64(left[i]) * m.kinds[i].length
		c.more[i] = total
	}
	spare, ok := mulFits(c.room, int64(bins))
	if !ok || m.setup > 0 || spare < total || !c.open(0, spare-total) {
		return nil
	}
	return c.plan
}

// open starts the next bin with the longest piece left; true when all is packed.
func (c *completion) open(from int, spare int64) bool {
	i := from
	for i < len(c.left) && c.left[i] == 0 {
		i++
	}
	if i == len(c.left) {
		return true
	}
	state := c.state
	if failed, ok := c.seen[state]; ok && failed >= spare {
		return false
	}
	outer := c.take
	c.take = nil
	c.add(i, 1)
	if c.fill(i, i, c.room-c.m.kinds[i].length, spare) {
		return true
	}
	c.add(i, -1)
	c.take = outer
	if c.nodes > 0 {
		c.seen[state] = spare
	}
	return false
}

// fill completes the open bin with kinds from i on, longest first, and closes
// it once its slack can be spared.
func (c *completion) fill(lead, i int, room, spare int64) bool {
	for j := i; j < len(c.left) && room-c.more[j] <= spare; j++ {
		length := c.m.kinds[j].length
		if length > room || c.left[j] == 0 {
			continue
		}
		if c.nodes--; c.nodes <= 0 {
			return false
		}
		c.add(j, 1)
		if c.fill(lead, j, room-length, spare) {
			return true
		}
		c.add(j, -1)
	}
	if room > spare || c.nodes <= 0 {
		return false
	}
	c.nodes--
	at, take := len(c.plan), c.take
	c.plan = append(c.plan, use{pattern{0, append([]entry(nil), c.take...)}, 1})
	if c.open(lead, spare-room) {
		return true
	}
	c.plan, c.take = c.plan[:at], take
	return false
}

func (c *completion) add(i, n int) {
	c.left[i] -= n
	c.state -= c.key[i] * uint64(n)
	last := len(c.take) - 1
	switch {
	case last >= 0 && c.take[last].kind == i:
		c.take[last].n += n
		if c.take[last].n == 0 {
			c.take = c.take[:last]
		}
	default:
		c.take = append(c.take, entry{i, n})
	}
}
