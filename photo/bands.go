package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/draw"
	"image/jpeg"
	"runtime"
	"slices"
	"sort"
	"sync"
	"sync/atomic"
)

// A JPEG's pixels cannot be found before all those in front are, for each code tells
// where the next begins and each block's mean is a difference (ITU-T T.81, F.1.2). Going
// over the codes alone is quick, though. So one goroutine goes over them and cuts the
// scan into bands of rows, each a file of its own, which the others leave to the
// standard library.

// bandRows is how many rows of minimum coded units a band has, the last one aside.
const bandRows = 8

// uncut is the share of a picture that stays one band, the last, so that nobody need go
// over its codes before: as much as one of so many processors reads while the others read
// the rest, less the sixth of the time of reading all that going over the codes takes.
func uncut(processors int) float64 { return max(0, 1/float64(processors)-1./6) }

// decodeJPEG reads a JPEG's pixels, on all processors where it has one scan in sequence,
// as cameras write them. What is odd in any way is the library's to read or to refuse.
func decodeJPEG(data []byte) (*image.RGBA, error) {
	if runtime.GOMAXPROCS(0) > 1 {
		if s := newScan(data); s != nil {
			if out := s.pixels(); out != nil {
				return out, nil
			}
		}
	}
	return decodeWhole(data, jpeg.Decode)
}

// scan is the only scan of a JPEG, in sequence.
type scan struct {
	head          []byte // of each band: the file's as far as it tells of the pixels
	frame         int    // where the frame's segment starts in it
	width, height int
	parts         []part // of a minimum coded unit (MCU), in their order
	across, down  int    // MCUs
	high          int    // of an MCU, in pixels
	codes         []byte // without stuffing and markers; slack bytes more at the end
	size          int    // of codes in bits
	interval      int    // MCUs between restarts, 0 where there are none
	restarts      []int  // where codes go on after each, in bits
}

// part is a component of the picture.
type part struct {
	name, blocks int // blocks in an MCU
	dc, ac       *codebook
}

// slack is more than a block's codes take: 64 of 16 bits and 15 more, in bytes, and what
// is read ahead.
const slack = 64*31/8 + 16

// mostHead is how long what a band repeats may be: some times what cameras write.
const mostHead = 1 << 14

// newScan finds the scan of a JPEG, nil where the file is of another kind.
func newScan(data []byte) *scan {
	s := &scan{head: []byte{0xff, 0xd8}} // start of image
	if !bytes.HasPrefix(data, s.head) {
		return nil
	}
	var books [2][4]*codebook // of means (DC) and of the rest (AC)
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker, end := data[at+1], at+2+int(binary.BigEndian.Uint16(data[at+2:]))
		if end < at+4 || end > len(data) {
			return nil
		}
		segment, body := data[at:end], data[at+4:end]
		switch {
		case marker == 0xc0 || marker == 0xc1:
			if s.frame != 0 || !s.readFrame(body) {
				return nil
			}
			s.frame = len(s.head)
		case marker == 0xc4:
			if !readBooks(body, &books) {
				return nil
			}
		case marker == 0xdd:
			if len(body) != 2 {
				return nil
			}
			s.interval = int(binary.BigEndian.Uint16(body))
		case marker == 0xda:
			s.head = append(s.head, segment...)
			if s.frame == 0 || !s.readOrder(body, &books) || !s.readCodes(data[end:]) {
				return nil
			}
			return s
		case marker == 0xdb, marker == 0xe0, marker == 0xee: // quantisation, what tells the colours' kind
		case marker > 0xe0 && marker <= 0xef, marker == 0xfe: // what else applications and people wrote
			segment = nil
		default: // other kinds of coding
			return nil
		}
		if s.head = append(s.head, segment...); len(s.head) > mostHead {
			return nil
		}
		at = end
	}
	return nil
}

// readFrame takes the size and the components (T.81, B.2.2).
func (s *scan) readFrame(b []byte) bool {
	if len(b) < 6 || b[0] != 8 || len(b) != 6+3*int(b[5]) || b[5] != 1 && b[5] != 3 {
		return false
	}
	s.height, s.width = int(binary.BigEndian.Uint16(b[1:])), int(binary.BigEndian.Uint16(b[3:]))
	mostH, mostV := 1, 1
	for c := b[6:]; len(c) > 0; c = c[3:] {
		h, v := int(c[1]>>4), int(c[1]&15)
		if h < 1 || h > 4 || v < 1 || v > 4 || b[5] == 1 && h*v != 1 {
			return false
		}
		mostH, mostV = max(mostH, h), max(mostV, v)
		s.parts = append(s.parts, part{name: int(c[0]), blocks: h * v})
	}
	s.high = 8 * mostV
	s.across, s.down = (s.width+8*mostH-1)/(8*mostH), (s.height+s.high-1)/s.high
	return s.down > bandRows
}

// readOrder takes which codes the components have, which must all be there, in the
// frame's order (T.81, B.2.3).
func (s *scan) readOrder(b []byte, books *[2][4]*codebook) bool {
	if len(b) != 4+2*len(s.parts) || int(b[0]) != len(s.parts) || !bytes.Equal(b[len(b)-3:], []byte{0, 63, 0}) {
		return false
	}
	for i := range s.parts {
		p, dc, ac := &s.parts[i], b[2+2*i]>>4, b[2+2*i]&15
		if int(b[1+2*i]) != p.name || dc > 3 || ac > 3 {
			return false
		}
		p.dc, p.ac = books[0][dc], books[1][ac]
		if p.dc == nil || p.ac == nil {
			return false
		}
	}
	return true
}

// readCodes takes the scan's data, which must run to the end of the picture.
func (s *scan) readCodes(data []byte) bool {
	s.codes = make([]byte, 0, len(data)+slack)
	for {
		n := bytes.IndexByte(data, 0xff)
		if n < 0 || n+1 == len(data) {
			return false
		}
		marker, codes := data[n+1], data[:n]
		if marker == 0 {
			codes = data[:n+1] // the byte itself
		}
		s.codes, data = append(s.codes, codes...), data[n+2:]
		switch {
		case marker == 0:
		case marker == 0xd0+byte(len(s.restarts)%8) && s.interval > 0:
			s.restarts = append(s.restarts, 8*len(s.codes))
		default:
			s.size = 8 * len(s.codes)
			s.codes = s.codes[:len(s.codes)+slack]
			return marker == 0xd9 && (s.interval == 0 || len(s.restarts) == (s.across*s.down-1)/s.interval)
		}
	}
}

// next is the 57 bits or more from a place on, the first of them the highest.
func (s *scan) next(at int) uint64 { return binary.BigEndian.Uint64(s.codes[at>>3:]) << (at & 7) }

// entry is where a band may start: at the first MCU of a row. Each component's first
// mean has a code from..to there and stands for the value dc.
type entry struct {
	row          int
	from, to, dc [3]int
}

// pixels reads the picture, nil where anything is odd.
func (s *scan) pixels() *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, s.width, s.height))
	var wait sync.WaitGroup
	var failed atomic.Bool
	ok := s.cut(func(from entry, row, to int) {
		wait.Go(func() {
			if !failed.Load() && !s.draw(out, from, row, to) {
				failed.Store(true)
			}
		})
	})
	wait.Wait()
	if !ok || failed.Load() {
		return nil
	}
	return out
}

// cut goes over the codes and hands on each band: where it starts, the row and the bit at
// which it ends. It is false where the codes are not as they should be; those of the last
// band are the library's to judge.
func (s *scan) cut(band func(from entry, row, to int)) bool {
	at, means := 0, [3]int{}
	begin, rest := entry{row: -1}, uncut(runtime.GOMAXPROCS(0))*float64(s.down)
	for row := range s.down {
		start := at
		e := entry{row: row}
		for x := range s.across {
			if n := row*s.across + x; s.interval > 0 && n > 0 && n%s.interval == 0 {
				next := s.restarts[n/s.interval-1]
				if next < at || next-at >= 8 {
					return false
				}
				at, means = next, [3]int{}
			}
			for i := range s.parts {
				p := &s.parts[i]
				for k := range p.blocks {
					before := at
					w := s.next(at)
					size, n := p.dc.find(w)
					if n == 0 || size > 11 {
						return false
					}
					means[i] += extend(w<<n, size)
					at += n + size
					if x == 0 && k == 0 {
						e.from[i], e.to[i], e.dc[i] = before, at, means[i]
					}
					if at = s.pass(p.ac, at); at < 0 || at > s.size {
						return false
					}
				}
			}
		}
		if row%bandRows == 0 && (s.interval == 0 || row*s.across%s.interval == 0) && s.codable(&e) {
			if begin.row >= 0 {
				band(begin, row, start)
			}
			if begin = e; row > 0 && float64(s.down-row) <= rest {
				at = s.size
				break
			}
		}
	}
	if begin.row < 0 || s.size-at >= 8 {
		return false
	}
	band(begin, s.down, at)
	return true
}

// pass goes over a block's codes but the first, to the bit behind them: a negative one
// where they are not as they should be.
func (s *scan) pass(b *codebook, at int) int {
	for k := 1; k < 64; {
		w := s.next(at)
		m := b.steps[w>>(64-quick)]
		if m == 0 || k+m.places()+m.end() > 64 { // one symbol alone
			if m = stepOf(b.find(w)); m == 0 || k+m.places() > 64 {
				return -1
			}
		}
		at += m.bits()
		k += m.places() + 64*m.end()
	}
	return at
}

// codable says whether the means at an entry have codes of their own, not as differences.
func (s *scan) codable(e *entry) bool {
	for i, p := range s.parts {
		if p.dc.long[category(e.dc[i])] == 0 {
			return false
		}
	}
	return true
}

// draw reads a band and draws it. It is false where the library refuses it.
func (s *scan) draw(out *image.RGBA, from entry, row, to int) bool {
	top, bottom := from.row*s.high, min(row*s.high, s.height)
	img, err := jpeg.Decode(bytes.NewReader(s.file(from, to, bottom-top)))
	if err != nil {
		return false
	}
	draw.Draw(out, image.Rect(0, top, s.width, bottom), img, image.Point{}, draw.Src)
	return true
}

// file is a band as a JPEG of its own.
func (s *scan) file(from entry, to, height int) []byte {
	file := slices.Grow(slices.Clone(s.head), (to-from.from[0])/8*9/8+slack)
	binary.BigEndian.PutUint16(file[s.frame+5:], uint16(height)) // after marker, length and precision
	w := writer{out: file}
	at := from.from[0]
	for i, p := range s.parts {
		w.copy(s, at, from.from[i])
		size := category(from.dc[i])
		w.put(uint64(p.dc.code[size]), p.dc.long[size])
		w.put(uint64(shortened(from.dc[i], size)), size)
		at = from.to[i]
	}
	for k, r := range s.restarts[sort.SearchInts(s.restarts, at):] {
		if r >= to {
			break
		}
		w.copy(s, at, r) // from a byte's beginning, as all intervals begin
		w.out = append(w.out, 0xff, 0xd0+byte(k%8))
		at = r
	}
	w.copy(s, at, to)
	w.put(1<<7-1, 7)
	return append(w.out, 0xff, 0xd9)
}

// writer writes codes, a zero byte stuffed after each of 255 (T.81, F.1.2.3).
type writer struct {
	out  []byte
	held uint64 // the lowest bits are not written yet,
	n    int    // so many of them, fewer than 8
}

// put writes the lowest n bits, 32 at most.
func (w *writer) put(v uint64, n int) {
	w.held, w.n = w.held<<n|v, w.n+n
	for w.n >= 8 {
		w.n -= 8
		b := byte(w.held >> w.n)
		w.out = append(w.out, b)
		if b == 0xff {
			w.out = append(w.out, 0)
		}
	}
}

// copy writes a scan's bits from a place to another.
func (w *writer) copy(s *scan, from, to int) {
	for ; to-from >= 32; from += 32 {
		w.held = w.held<<32 | s.next(from)>>32
		four := uint32(w.held >> w.n)
		if none := ^four; (none-0x01010101)&four&0x80808080 == 0 { // no byte is 255
			w.out = binary.BigEndian.AppendUint32(w.out, four)
			continue
		}
		w.n += 32
		w.put(0, 0)
	}
	w.put(s.next(from)>>32>>(32-(to-from)), to-from)
}
