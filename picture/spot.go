package picture

import (
	"image"

	"coilwright/cores"
	"coilwright/course"
	"coilwright/job"
	"coilwright/photo"
)

// Found is what a place of a photo shows of the house in a scheme.
type Found struct {
	Wall   int    // index in the house
	Zone   string // id of the scheme's zone, empty where no zone hangs (an opening, trim)
	X, Y   float64
	Course int     // of the zone, counted as the layout counts; 0 where none
	Share  float64 // 0 to 1: how much of the pixel is cladding, the rest stands in front
}

// At finds what pixel (u, v) of the prepared photo shows; ok is false beside the walls.
func (f *Fitted) At(j *job.Job, scheme string, at photo.Pixel) (found Found, ok bool, err error) {
	outfit, err := outfitOf(j, scheme)
	if err != nil {
		return Found{}, false, err
	}
	p := &f.Prepared.photo
	pixel := image.Pt(int(at.U), int(at.V))
	if at.U < 0 || at.V < 0 || !pixel.In(p.Image.Rect) {
		return Found{}, false, nil
	}
	w := p.visibility().wallAt(pixel.X, pixel.Y)
	if w < 0 {
		return Found{}, false, nil
	}
	found = Found{Wall: f.Walls[w], Share: 1}
	if p.Mask != nil {
		found.Share = float64(p.Mask.GrayAt(pixel.X, pixel.Y).Y) / 255
	}
	found.X, found.Y, _ = p.Camera.OnPlane(at, p.Walls[w].at(anchor))
	for _, z := range outfit.Layout.Zones {
		if z.Wall == found.Wall && inside(rings(z.Region), found.X, found.Y) {
			found.Zone, found.Course = outfit.Scheme.Zones[z.Zone].ID, courseAt(z, found.X, found.Y)
			break
		}
	}
	return found, true, nil
}

// courseAt is the number of the course at a place of a zone.
func courseAt(z course.ZoneOnWall, x, y float64) int {
	at := y
	if z.Vertical {
		at = x
	}
	for _, b := range z.Bands {
		if at >= b.Low.Inches() && at < b.High.Inches() {
			return b.K
		}
	}
	return 0
}

// ZoneMap is a raster of a prepared photo: 0 where no cladding is seen, else one more
// than the index of what is seen there.
type ZoneMap struct {
	Image *image.Gray
	Zones []WallZone
}

// WallZone is one zone on one wall, by its index in the house.
type WallZone struct {
	Wall int
	Zone string
}

// Map tells for every pixel which zone of a scheme it shows. At most 255 zones are
// told apart; those beyond count as none.
func (f *Fitted) Map(j *job.Job, scheme string) (ZoneMap, error) {
	outfit, err := outfitOf(j, scheme)
	if err != nil {
		return ZoneMap{}, err
	}
	out := ZoneMap{Image: image.NewGray(f.Prepared.photo.Image.Rect)}
	dress := make([]Dressing, len(f.Walls))
	number := make([][]int, len(f.Walls)) // of each zone of a dressing, in the map
	for i, w := range f.Walls {
		for _, z := range outfit.Layout.Zones {
			if z.Wall == w && len(z.Region) > 0 && len(out.Zones) < 255 {
				out.Zones = append(out.Zones, WallZone{w, outfit.Scheme.Zones[z.Zone].ID})
				dress[i] = append(dress[i], Zone{Region: rings(z.Region)})
				number[i] = append(number[i], len(out.Zones))
			}
		}
	}
	f.Prepared.mapped(out.Image, dress, number)
	return out, nil
}

// mapped draws the zones' numbers where cladding is seen.
func (p *Prepared) mapped(out *image.Gray, dress []Dressing, number [][]int) {
	seen := make([]*labels, len(dress))
	for i, d := range dress {
		seen[i] = newLabels(p.light[i].wall, d)
	}
	cores.Each(len(p.strips), func(i int) {
		s := &p.strips[i]
		for k := range s.stretches {
			t := &s.stretches[k]
			row := out.Pix[out.PixOffset(s.left, int(t.row)):]
			for u := int(t.from); u < int(t.to); u++ {
				x, y := t.place(float64(u) / span)
				if z := seen[s.wall].at(x, y); z >= 0 && (t.parts == nil || t.parts[u].share > 127) {
					row[u] = uint8(number[s.wall][z])
				}
			}
		}
	})
}
