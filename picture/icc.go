package picture

import (
	"encoding/binary"
	"math"

	"coilwright/colour"
)

// SRGBProfile is a colour profile of sRGB (IEC 61966-2-1) after ICC.1:2004 (version
// 4): three primaries adapted to D50 and the parametric curve of type 3.
func SRGBProfile() []byte {
	xyz := func(x, y, z float64) []byte {
		out := append([]byte("XYZ "), 0, 0, 0, 0)
		for _, v := range []float64{x, y, z} {
			out = binary.BigEndian.AppendUint32(out, uint32(int32(math.Round(v*65536))))
		}
		return out
	}
	curve := append([]byte("para"), 0, 0, 0, 0, 0, 3, 0, 0)
	for _, v := range []float64{2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045} {
		curve = binary.BigEndian.AppendUint32(curve, uint32(int32(math.Round(v*65536))))
	}
	tags := []struct {
		name string
		data []byte
	}{
		{"desc", words("sRGB")}, {"cprt", words("no rights reserved")},
		{"wtpt", xyz(0.96420, 1, 0.82491)},
		{"rXYZ", primary(0, xyz)}, {"gXYZ", primary(1, xyz)}, {"bXYZ", primary(2, xyz)},
		{"rTRC", curve}, {"gTRC", curve}, {"bTRC", curve},
	}
	head := make([]byte, 128)
	head[8], head[9] = 4, 0x20 // version 4.2
	copy(head[12:], "mntrRGB XYZ ")
	copy(head[36:], "acsp")
	for i, v := range []float64{0.96420, 1, 0.82491} {
		binary.BigEndian.PutUint32(head[68+4*i:], uint32(math.Round(v*65536)))
	}
	table := binary.BigEndian.AppendUint32(nil, uint32(len(tags)))
	at := 128 + 4 + 12*len(tags)
	var body []byte
	for _, t := range tags {
		table = append(table, t.name...)
		table = binary.BigEndian.AppendUint32(table, uint32(at+len(body)))
		table = binary.BigEndian.AppendUint32(table, uint32(len(t.data)))
		body = append(body, t.data...)
		for len(body)%4 != 0 {
			body = append(body, 0)
		}
	}
	out := append(append(head, table...), body...)
	binary.BigEndian.PutUint32(out, uint32(len(out)))
	return out
}

// primary is a primary's colour under D50.
func primary(c int, xyz func(x, y, z float64) []byte) []byte {
	var v colour.Linear
	v[c] = 1
	p := colour.Adapt(v.XYZ(), colour.D65, colour.D50)
	return xyz(p[0], p[1], p[2])
}

// words is a text of a profile: type mluc, one record, English.
func words(s string) []byte {
	out := append([]byte("mluc"), 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 12, 'e', 'n', 'U', 'S')
	out = binary.BigEndian.AppendUint32(out, uint32(2*len(s)))
	out = binary.BigEndian.AppendUint32(out, 28)
	for _, r := range s {
		out = binary.BigEndian.AppendUint16(out, uint16(r))
	}
	return out
}
