package picture

import (
	"encoding/binary"
	"slices"
)

// Tags of EXIF 2.32 (JEITA CP-3451) that matter here.
const (
	tagOrientation = 0x0112
	tagExif        = 0x8769
	tagGPS         = 0x8825
	tagMakerNote   = 0x927c
	tagWidth       = 0xa002
	tagHeight      = 0xa003
)

// sizes of a value by EXIF type, 0 for none.
var sizes = [...]int{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8}

// WithoutPlace copies what a camera wrote (a TIFF structure) for a picture that is
// upright and width by height: without where it was taken, without the maker's
// private notes, which may tell it too, and without the small picture of the old
// house. What is left out is wiped, not only unlinked. ok is false where the
// structure is broken; then nothing of it should be kept.
func WithoutPlace(exif []byte, width, height int) (out []byte, ok bool) {
	if len(exif) < 8 {
		return nil, false
	}
	t := tiff{data: slices.Clone(exif)}
	switch string(t.data[:4]) {
	case "II*\x00":
		t.order = binary.LittleEndian
	case "MM\x00*":
		t.order = binary.BigEndian
	default:
		return nil, false
	}
	t.width, t.height = width, height
	first := int(t.order.Uint32(t.data[4:]))
	next, good := t.clean(first, 0)
	if !good {
		return nil, false
	}
	if next > 0 { // the small picture: IFD1 and all from there on that it points to
		t.wipeThumbnail(next)
		n := int(t.order.Uint16(t.data[first:]))
		t.order.PutUint32(t.data[first+2+12*n:], 0)
	}
	return t.data, true
}

type tiff struct {
	data          []byte
	order         binary.ByteOrder
	width, height int
}

// entries checks a directory and gives the number of its entries.
func (t *tiff) entries(at int) (int, bool) {
	if at < 8 || at+2 > len(t.data) {
		return 0, false
	}
	n := int(t.order.Uint16(t.data[at:]))
	return n, at+2+12*n+4 <= len(t.data)
}

// clean works through a directory and those below it; next is where the following
// one stands.
func (t *tiff) clean(at, depth int) (next int, ok bool) {
	n, ok := t.entries(at)
	if !ok || depth > 2 {
		return 0, false
	}
	kept := 0
	for i := range n {
		e := t.data[at+2+12*i : at+2+12*i+12]
		switch t.order.Uint16(e) {
		case tagGPS:
			t.wipeDirectory(int(t.order.Uint32(e[8:])))
			continue
		case tagMakerNote:
			t.wipeValue(e)
			continue
		case tagExif:
			if _, ok := t.clean(int(t.order.Uint32(e[8:])), depth+1); !ok {
				return 0, false
			}
		case tagOrientation:
			t.put(e, 1)
		case tagWidth:
			t.put(e, t.width)
		case tagHeight:
			t.put(e, t.height)
		}
		copy(t.data[at+2+12*kept:], e)
		kept++
	}
	next = int(t.order.Uint32(t.data[at+2+12*n:]))
	t.order.PutUint16(t.data[at:], uint16(kept))
	t.order.PutUint32(t.data[at+2+12*kept:], uint32(next))
	clear(t.data[at+2+12*kept+4 : at+2+12*n+4])
	return next, true
}

// put sets a single whole number in place.
func (t *tiff) put(e []byte, v int) {
	t.order.PutUint32(e[4:], 1)
	if t.order.Uint16(e[2:]) == 3 { // SHORT
		clear(e[8:])
		t.order.PutUint16(e[8:], uint16(v))
		return
	}
	t.order.PutUint16(e[2:], 4)
	t.order.PutUint32(e[8:], uint32(v))
}

// wipeValue clears an entry's value where it stands apart, and the entry.
func (t *tiff) wipeValue(e []byte) {
	if kind := int(t.order.Uint16(e[2:])); kind < len(sizes) {
		n := sizes[kind] * int(t.order.Uint32(e[4:]))
		from := int(t.order.Uint32(e[8:]))
		if n > 4 && from >= 8 && from < len(t.data) {
			clear(t.data[from:min(len(t.data), from+n)])
		}
	}
	clear(e)
}

// wipeDirectory clears a directory with all its values.
func (t *tiff) wipeDirectory(at int) {
	n, ok := t.entries(at)
	if !ok {
		return
	}
	for i := range n {
		t.wipeValue(t.data[at+2+12*i : at+2+12*i+12])
	}
	clear(t.data[at : at+2+12*n+4])
}

// wipeThumbnail clears the second directory and the picture that it points to.
func (t *tiff) wipeThumbnail(at int) {
	n, ok := t.entries(at)
	if !ok {
		return
	}
	var from, length int
	for i := range n {
		e := t.data[at+2+12*i:]
		switch t.order.Uint16(e) {
		case 0x0201:
			from = int(t.order.Uint32(e[8:]))
		case 0x0202:
			length = int(t.order.Uint32(e[8:]))
		}
	}
	if from >= 8 && from < len(t.data) && length > 0 {
		clear(t.data[from:min(len(t.data), from+length)])
	}
	t.wipeDirectory(at)
}
