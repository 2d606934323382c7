package picture

import (
	"encoding/binary"
	"errors"
	"image"
	"image/jpeg"
	"slices"

	"coilwright/cores"
)

// block is the side in pixels of what a JPEG of halved colour codes at a time (ITU-T
// T.81, A.2.3: the minimum coded unit).
const block = 16

// intervalRows is how many rows of blocks a restart interval has: few enough to share a
// preview among processors, and never more blocks than its sixteen bits count (T.81,
// B.2.4.4), since no JPEG is wider than 4096 blocks.
const intervalRows = 8

// JPEG writes a picture at a quality from 1 to 100. It is coded in restart intervals, on
// all processors at once: each begins as a file does, so that each is left to the
// standard library. The pixels are those of a file coded in one go, and the file is the
// same however many processors there are.
func JPEG(im *image.RGBA, quality int) ([]byte, error) {
	bands := intervals(im.Rect)
	coded, wrong := make([][]byte, len(bands)), make([]error, len(bands))
	cores.Each(len(bands), func(i int) {
		var s sink
		wrong[i] = jpeg.Encode(&s, im.SubImage(bands[i]), &jpeg.Options{Quality: quality})
		coded[i] = s.file
	})
	if err := errors.Join(wrong...); err != nil || len(bands) == 1 {
		return coded[0], err
	}
	return joined(coded, im.Rect.Dy(), intervalRows*((im.Rect.Dx()+block-1)/block)), nil
}

// sink takes a file byte by byte, as the library writes it, with no buffer between.
type sink struct{ file []byte }

func (s *sink) Write(b []byte) (int, error) {
	s.file = append(s.file, b...)
	return len(b), nil
}

func (s *sink) WriteByte(b byte) error {
	s.file = append(s.file, b)
	return nil
}

func (s *sink) Flush() error { return nil }

// intervals cuts a picture into bands of whole blocks, the last as high as is left. What
// is too high for a JPEG stays whole, for the library to refuse.
func intervals(b image.Rectangle) (out []image.Rectangle) {
	const high = block * intervalRows
	if b.Dy() >= 1<<16 {
		return []image.Rectangle{b}
	}
	for y := b.Min.Y; y == b.Min.Y || y < b.Max.Y; y += high {
		out = append(out, image.Rect(b.Min.X, y, b.Max.X, min(b.Max.Y, y+high)))
	}
	return out
}

// joined makes one file of bands that were coded alike: the first one's head with the
// height of all, then their data with restart markers between.
func joined(coded [][]byte, height, interval int) []byte {
	first := coded[0]
	frame, scan := segmentAt(first, 0xc0), segmentAt(first, 0xda)
	data := scan + 2 + int(binary.BigEndian.Uint16(first[scan+2:]))
	binary.BigEndian.PutUint16(first[frame+5:], uint16(height)) // after marker, length and precision
	restart := appendSegment(nil, 0xdd, binary.BigEndian.AppendUint16(nil, uint16(interval)))
	parts := [][]byte{first[:scan], restart, first[scan : len(first)-2]}
	for i, c := range coded[1:] {
		parts = append(parts, []byte{0xff, 0xd0 + byte(i%8)}, c[data:len(c)-2])
	}
	return slices.Concat(append(parts, []byte{0xff, 0xd9})...)
}

// segmentAt is where a marker segment of a well-formed JPEG that has one starts.
func segmentAt(file []byte, marker byte) int {
	at := 2
	for file[at+1] != marker {
		at += 2 + int(binary.BigEndian.Uint16(file[at+2:]))
	}
	return at
}
