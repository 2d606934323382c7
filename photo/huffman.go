package photo

import "math/bits"

// codebook is a Huffman table (T.81, annex C).
type codebook struct {
	symbols []byte  // in the order of their codes
	first   [18]int // the first code of each length, and
	at      [18]int // which symbol it stands for; the next length's is where they end
	steps   [1 << quick]step
	code    [256]uint16 // of each symbol,
	long    [256]int    // of so many bits, 0 where it has none
}

// quick is how many bits a codebook looks up in one go.
const quick = 13

// step is how a block's codes go on: by how many bits, their values counted; by how many
// of its places; and whether the block ends with it. 0 where that is not known.
type step uint16

func (m step) bits() int   { return int(m & 31) }
func (m step) places() int { return int(m >> 5 & 127) }
func (m step) end() int    { return int(m >> 12) }

// stepOf is the step of a symbol whose code is so long, 0 for one that a scan in sequence
// has not (T.81, F.1.2.2).
func stepOf(symbol, long int) step {
	run, size := symbol>>4, symbol&15
	switch {
	case long == 0 || size == 0 && run > 0 && run < 15:
		return 0
	case symbol == 0:
		return step(1<<12 | long)
	}
	return step((run+1)<<5 | long + size)
}

// readBooks takes the tables of a segment (T.81, B.2.4.2).
func readBooks(b []byte, books *[2][4]*codebook) bool {
	for len(b) > 0 {
		if len(b) < 17 || b[0]>>4 > 1 || b[0]&15 > 3 {
			return false
		}
		n := 0
		for _, c := range b[1:17] {
			n += int(c)
		}
		if n > 256 || len(b) < 17+n {
			return false
		}
		book := newCodebook(b[1:17], b[17:17+n])
		if book == nil {
			return false
		}
		books[b[0]>>4][b[0]&15], b = book, b[17+n:]
	}
	return true
}

// newCodebook makes a table of how many codes there are of each length from 1 to 16, and
// their symbols; nil where there are more than a length has.
func newCodebook(count, symbols []byte) *codebook {
	b := &codebook{symbols: symbols}
	code, k := 0, 0
	for long := 1; long <= 16; long++ {
		b.first[long], b.at[long] = code, k
		for range count[long-1] {
			b.code[symbols[k]], b.long[symbols[k]] = uint16(code), long
			code, k = code+1, k+1
		}
		if code > 1<<long {
			return nil
		}
		code <<= 1
	}
	b.at[17] = k
	for i := range b.steps {
		b.steps[i] = b.stride(uint64(i) << (64 - quick))
	}
	return b
}

// stride is the step of as many symbols as the first quick bits hold whole.
func (b *codebook) stride(w uint64) (all step) {
	for all.end() == 0 {
		m := stepOf(b.find(w << all.bits()))
		if m == 0 || all.bits()+m.bits() > quick || all.places()+m.places() > 63 {
			break
		}
		all += m
	}
	return all
}

// find is the symbol that bits begin with, the highest first, and its length: 0 where
// they begin with none.
func (b *codebook) find(w uint64) (symbol, long int) {
	for long = 1; long <= 16; long++ {
		if i := int(w>>(64-long)) - b.first[long]; i < b.at[long+1]-b.at[long] {
			return int(b.symbols[b.at[long]+i]), long
		}
	}
	return 0, 0
}

// extend is the value of the size bits that w begins with (T.81, F.2.2.1).
func extend(w uint64, size int) int {
	if size == 0 {
		return 0
	}
	v := int(w >> (64 - size))
	if v < 1<<(size-1) {
		v -= 1<<size - 1
	}
	return v
}

// category is how many bits a value takes, and shortened those bits (T.81, F.1.2.1).
func category(v int) int { return bits.Len(uint(max(v, -v))) }

func shortened(v, size int) int {
	if v < 0 {
		v += 1<<size - 1
	}
	return v
}
