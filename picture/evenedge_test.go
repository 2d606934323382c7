package picture

import (
	"image"
	"testing"

	"coilwright/photo"
)

// Dashes along an opening's edge go, whichever way they are wrong; what stands before the
// edge for longer stays, and so does what somebody drew; nothing else changes.
func TestEvenEdges(t *testing.T) {
	for _, side := range []float64{0, 1} { // of the opening: left, right
		p := &Photo{Image: image.NewRGBA(image.Rect(0, 0, 1000, 640)), Camera: lookingUp(), Walls: []Wall{frontWall()}}
		w := &p.Walls[0]
		w.Field = append(w.Field, Ring{{90, 20}, {110, 20}, {110, 80}, {90, 80}})
		field := p.fieldMap()
		m, held := image.NewGray(p.Image.Rect), make([]bool, 1000*640)
		for k, i := range field {
			if i >= 0 {
				m.Pix[k] = 255
			}
		}
		at := func(y, off float64) int {
			q, _ := p.Camera.Project(w.Plane.At(90+side*20+(2*side-1)*off, y))
			return int(q.V)*1000 + int(q.U)
		}
		for n := range 240 { // a quarter inch is a pixel
			y := 20.125 + float64(n)/4
			if n%7 < 2 || n > 100 && n < 160 {
				m.Pix[at(y, 0.2)], m.Pix[at(y, 0.4)] = 0, 0
			}
			if n%7 < 2 {
				m.Pix[at(y, 2)] = 0 // further off than edges are
			}
		}
		drawn := at(30, 0.2)
		m.Pix[drawn], held[drawn] = 0, true
		p.evenEdges(m, field, held)
		wrong := 0
		for n := 12; n < 228; n++ {
			y := 20.125 + float64(n)/4
			want := uint8(255)
			if n > 100 && n < 160 {
				want = 0
			}
			if n > 90 && n < 110 || n > 150 && n < 170 || at(y, 0.2) == drawn {
				continue
			}
			if m.Pix[at(y, 0.2)] != want || (m.Pix[at(y, 2)] == 0) != (n%7 < 2) {
				wrong++
			}
		}
		if wrong > 0 || m.Pix[drawn] != 0 {
			t.Errorf("side %.0f: %d rows are wrong, the drawn pixel is %d", side, wrong, m.Pix[drawn])
		}
	}
}

// A made mask is a person's own, and stays as it is along the openings.
func TestMadeMaskKeepsEdges(t *testing.T) {
	p := &Photo{Image: image.NewRGBA(image.Rect(0, 0, 40, 30)), Camera: photo.Camera{}, Mask: image.NewGray(image.Rect(0, 0, 40, 30))}
	p.Mask.Pix[77] = 200
	taken := Taken{Photo: *p}
	if err := taken.mask(nil); err != nil || taken.Photo.Mask.Pix[77] != 200 {
		t.Errorf("the mask became %d (%v)", taken.Photo.Mask.Pix[77], err)
	}
}

// Under an overhang the wall goes on up to its edge, however ragged a guess left it there; a
// pipe that goes up aslant stays in front.
func TestWallUnderOverhang(t *testing.T) {
	p := &Photo{Image: image.NewRGBA(image.Rect(0, 0, 1000, 640)), Camera: lookingUp(), Walls: []Wall{frontWall()}}
	w := &p.Walls[0]
	field := p.fieldMap()
	m := image.NewGray(p.Image.Rect)
	index := func(x, y float64) int {
		q, _ := p.Camera.Project(w.Plane.At(x, y))
		return int(q.V)*1000 + int(q.U)
	}
	for k, i := range field {
		if i >= 0 {
			m.Pix[k] = 255
		}
	}
	for x := 2.0; x < 198; x += 0.25 {
		for y := 95.0; y < 99.9; y += 0.1 { // a quarter inch is a pixel
			if pipe := 60 + (y - 95); x > pipe && x < pipe+2 || y > 99.3 && int(4*x)%5 < 3 {
				m.Pix[index(x, y)] = 0
			}
		}
	}
	p.evenEdges(m, field, nil)
	ragged, pipe := 0, 0
	for x := 4.0; x < 196; x += 0.25 {
		v := m.Pix[index(x, 99.7)]
		switch {
		case x < 55 || x > 75:
			if v < 255 {
				ragged++
			}
		case x > 65.2 && x < 66.2 && v == 0:
			pipe++
		}
	}
	if ragged > 0 || pipe < 3 {
		t.Errorf("%d pixels under the overhang are no wall, %d of the pipe are left", ragged, pipe)
	}
}
