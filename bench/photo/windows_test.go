package photo

import (
	"bufio"
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"coilwright/opendata"
	"coilwright/photo"
)

// labelled is one facade with the boxes of its windows.
type labelled struct {
	name    string
	picture *image.RGBA
	windows []image.Rectangle
}

// facades reads the labelled facades: rectified fronts with a class number per
// pixel (3 is window), street photos with a colour per pixel (0, 0, 128).
func facades(t testing.TB, pattern string) []labelled {
	files, err := filepath.Glob(opendata.Need(t, "truth scenes and facades", "facades_labelled", pattern))
	if err != nil || len(files) == 0 {
		t.Skipf("no labelled facades %s lie in the shared data", pattern)
	}
	var out []labelled
	for _, file := range files {
		if strings.Contains(file, ".labels.") {
			continue
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		p, err := photo.Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		base := strings.TrimSuffix(file, filepath.Ext(file))
		is := classText(t, base+".labels.txt")
		if is == nil {
			is = classPicture(t, base+".labels.png")
		}
		out = append(out, labelled{filepath.Base(file), p.Image, boxes(p.Image.Rect, is)})
	}
	return out
}

func classText(t testing.TB, file string) func(x, y int) bool {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil
	}
	var rows [][]string
	for s := bufio.NewScanner(bytes.NewReader(data)); s.Scan(); {
		rows = append(rows, strings.Fields(strings.ReplaceAll(s.Text(), ",", " ")))
	}
	return func(x, y int) bool { return y < len(rows) && x < len(rows[y]) && rows[y][x] == "3" }
}

func classPicture(t testing.TB, file string) func(x, y int) bool {
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return func(x, y int) bool {
		r, g, b, _ := img.At(x, y).RGBA()
		return r>>8 == 0 && g>>8 == 0 && b>>8 == 128
	}
}

// boxes gives the boxes of connected window pixels of 80 and more.
func boxes(size image.Rectangle, is func(x, y int) bool) []image.Rectangle {
	seen := make([]bool, size.Dx()*size.Dy())
	var out []image.Rectangle
	for y := range size.Dy() {
		for x := range size.Dx() {
			if seen[y*size.Dx()+x] || !is(x, y) {
				continue
			}
			box, count := image.Rectangle{}, 0
			stack := []image.Point{{X: x, Y: y}}
			seen[y*size.Dx()+x] = true
			for len(stack) > 0 {
				p := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				box, count = box.Union(image.Rect(p.X, p.Y, p.X+1, p.Y+1)), count+1
				for _, q := range []image.Point{{X: p.X + 1, Y: p.Y}, {X: p.X - 1, Y: p.Y}, {X: p.X, Y: p.Y + 1}, {X: p.X, Y: p.Y - 1}} {
					if q.In(size) && !seen[q.Y*size.Dx()+q.X] && is(q.X, q.Y) {
						seen[q.Y*size.Dx()+q.X] = true
						stack = append(stack, q)
					}
				}
			}
			if count >= 80 {
				out = append(out, box)
			}
		}
	}
	return out
}

// alike is intersection over union.
func alike(a, b image.Rectangle) float64 {
	common := a.Intersect(b)
	c := float64(common.Dx() * common.Dy())
	if common.Empty() {
		c = 0
	}
	return c / (float64(a.Dx()*a.Dy()) + float64(b.Dx()*b.Dy()) - c)
}

// TestWindows reports precision and recall of the proposals: one that covers a
// labelled window by half (intersection over union) is right, each window once.
func TestWindows(t *testing.T) {
	for _, pattern := range []string{"pad_*", "lmf_*"} {
		right, proposed, there := 0, 0, 0
		for _, f := range facades(t, pattern) {
			taken := make([]bool, len(f.windows))
			good := 0
			proposals := photo.Windows(f.picture)
			for _, p := range proposals {
				box := boxOf(p)
				for i, w := range f.windows {
					if !taken[i] && alike(box, w) >= 0.5 {
						taken[i] = true
						good++
						break
					}
				}
			}
			right, proposed, there = right+good, proposed+len(proposals), there+len(f.windows)
			t.Logf("%s: %d proposed, %d of them right, %d windows", f.name, len(proposals), good, len(f.windows))
		}
		t.Logf("%s: precision %.2f, recall %.2f (%d right of %d proposed, %d windows)", pattern,
			float64(right)/float64(max(1, proposed)), float64(right)/float64(max(1, there)), right, proposed, there)
	}
}

func boxOf(p photo.Proposal) image.Rectangle {
	r := image.Rectangle{Min: image.Pt(1<<30, 1<<30), Max: image.Pt(-1<<30, -1<<30)}
	for _, c := range p.Corners {
		r.Min.X, r.Min.Y = min(r.Min.X, int(c.U+0.5)), min(r.Min.Y, int(c.V+0.5))
		r.Max.X, r.Max.Y = max(r.Max.X, int(c.U+0.5)), max(r.Max.Y, int(c.V+0.5))
	}
	return r
}
