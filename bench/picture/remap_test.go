package picture

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"os/exec"
	"testing"

	"coilwright/colour"
	"coilwright/photo"
	"coilwright/picture"
)

// TestWarp holds the places of painted courses against OpenCV's warp: a flat drawing of
// wide bands, warped by the camera's homography, and the same bands painted as zones
// by the renderer change from one to the other at the same pixels.
func TestWarp(t *testing.T) {
	if err := exec.Command("/usr/bin/python3", "-c", "import cv2, numpy").Run(); err != nil {
		t.Skip("OpenCV (python3-opencv) is not installed: nothing to compare with")
	}
	const wide, high, perInch, band = 200.0, 100.0, 4, 12.5
	sin, cos := math.Sincos(0.45)
	eye := photo.Vec{X: 100 + 260*sin, Y: -260 * cos, Z: 35}
	r := photo.Rotation{{X: cos, Y: sin}, {Z: -1}, {X: -sin, Y: cos}}
	p := picture.Photo{
		Image:  image.NewRGBA(image.Rect(0, 0, 640, 480)),
		Camera: photo.Camera{Lens: photo.Lens{Focal: 640, CX: 320, CY: 240}, R: r, T: r.Apply(eye).Scale(-1)},
		Walls: []picture.Wall{{ID: "a", Plane: photo.Plane{X: photo.Vec{X: 1}, Y: photo.Vec{Z: 1}}, Standoff: 0.35,
			Outline: picture.Ring{{X: 0, Y: 0}, {X: wide, Y: 0}, {X: wide, Y: high}, {X: 0, Y: high}},
			Field:   []picture.Ring{{{X: 0, Y: 0}, {X: wide, Y: 0}, {X: wide, Y: high}, {X: 0, Y: high}}}}},
		Old: picture.Old{Face: picture.Flat(0.35), Colour: colour.Linear{0.5, 0.5, 0.5}},
	}
	for i := range p.Image.Pix {
		p.Image.Pix[i] = 150
	}
	var dress picture.Dressing
	drawing := image.NewGray(image.Rect(0, 0, int(wide*perInch), int(high*perInch)))
	for k := range int(high / band) {
		low := float64(k) * band
		c := colour.Linear{0.05, 0.05, 0.05}.Scale(float64(1 + k%2*9))
		dress = append(dress, picture.Zone{Region: []picture.Ring{{{X: 0, Y: low}, {X: wide, Y: low}, {X: wide, Y: low + band}, {X: 0, Y: low + band}}},
			Face: picture.Flat(0.35), Finish: picture.Finish{Colour: c, Roughness: 1}})
		for y := int((high - low - band) * perInch); y < int((high-low)*perInch); y++ {
			for x := range drawing.Rect.Dx() {
				drawing.Pix[y*drawing.Stride+x] = uint8(k % 2 * 255)
			}
		}
	}
	got, err := picture.Prepare(p).Render([]picture.Dressing{dress})
	if err != nil {
		t.Fatal(err)
	}
	want := warped(t, drawing, p, perInch, high)
	worst, sum, n := 0.0, 0.0, 0.0
	for u := 60; u < 600; u += 9 {
		for v := 1; v < 479; v++ {
			at := photo.Pixel{U: float64(u) + .5, V: float64(v) + .5}
			x, y, ok := p.Camera.OnPlane(at, p.Walls[0].Plane)
			if !ok || x < 5 || x > 195 || y < 5 || y > 95 {
				continue
			}
			if a, b := want[(v-1)*640+u], want[v*640+u]; (a < 128) != (b < 128) {
				cut := float64(v-1) + (128-float64(a))/(float64(b)-float64(a))
				off := cut - crossing(got, u, v)
				worst, sum, n = max(worst, math.Abs(off)), sum+off, n+1
			}
		}
	}
	t.Logf("%.0f edges, %.3f pixels from OpenCV's in the mean, the worst %.2f", n, sum/n, worst)
	// Zones are told apart on a raster of 1/4 in (0.3 pixels here at most) and at four
	// places of a pixel, which leaves single edges a little rough but not shifted.
	if n < 200 || worst > 0.8 || math.Abs(sum/n) > 0.1 {
		t.Errorf("%.0f edges, off by %.3f pixels in the mean, %.2f at worst", n, sum/n, worst)
	}
}

// crossing is the height near v at which a column passes half way between its bands.
func crossing(im *image.RGBA, u, v int) float64 {
	at := func(v int) float64 { return float64(im.RGBAAt(u, v).G) }
	low, high := min(at(v-4), at(v+3)), max(at(v-4), at(v+3))
	half := (low + high) / 2
	best := math.Inf(1)
	for k := v - 4; k < v+3; k++ {
		if a, b := at(k), at(k+1); (a < half) != (b < half) {
			if c := float64(k) + (half-a)/(b-a); math.Abs(c-float64(v)+0.5) < math.Abs(best-float64(v)+0.5) {
				best = c
			}
		}
	}
	return best
}

// warped is the drawing as OpenCV sees it through the camera.
func warped(t *testing.T, drawing *image.Gray, p picture.Photo, perInch, high float64) []byte {
	t.Helper()
	// From a pixel of the drawing (middles at whole numbers, rows from its top) to inches,
	// to the picture, less half a pixel.
	h := p.Camera.WallToPicture(p.Walls[0].Plane)
	toInches := [9]float64{1 / perInch, 0, 0.5 / perInch, 0, -1 / perInch, high - 0.5/perInch, 0, 0, 1}
	matrix := product([9]float64{1, 0, -0.5, 0, 1, -0.5, 0, 0, 1}, product(
		[9]float64{h[0].X, h[0].Y, h[0].Z, h[1].X, h[1].Y, h[1].Z, h[2].X, h[2].Y, h[2].Z}, toInches))
	var in bytes.Buffer
	fmt.Fprint(&in, drawing.Rect.Dx(), " ", drawing.Rect.Dy(), " ", 640, " ", 480)
	for _, v := range matrix {
		fmt.Fprintf(&in, " %.17g", v)
	}
	in.WriteByte('\n')
	in.Write(drawing.Pix)
	c := exec.Command("/usr/bin/python3", "remap.py")
	c.Stdin = &in
	out, err := c.Output()
	if err != nil || len(out) != 640*480 {
		t.Fatalf("OpenCV: %v, %d bytes", err, len(out))
	}
	return out
}

func product(a, b [9]float64) (out [9]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				out[3*i+j] += a[3*i+k] * b[3*k+j]
			}
		}
	}
	return out
}
