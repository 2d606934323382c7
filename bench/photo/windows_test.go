package photo

import (
	"bufio"
	"bytes"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"slices"
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
	house   func(x, y int) bool // wall, window or door
}

// facades reads the labelled facades: rectified fronts with a class number per
// pixel (3 is window), street photos with a colour per pixel (0, 0, 128).
func facades(t testing.TB, pattern string) []labelled {
	files, err := filepath.Glob(filepath.Join(opendata.Need(t, "labelled facades", "facades_labelled"), pattern))
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
		at := classText(base + ".labels.txt")
		if at == nil {
			at = classPicture(t, base+".labels.png")
		}
		is := func(x, y int) bool { return at(x, y) == window }
		on := func(x, y int) bool { c := at(x, y); return c == window || c == wall || c == door }
		out = append(out, labelled{filepath.Base(file), p.Image, boxes(p.Image.Rect, is), on})
	}
	return out
}

// class is what a pixel is labelled.
type class int

const (
	other class = iota
	window
	wall
	door
)

func classText(file string) func(x, y int) class {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil
	}
	var rows [][]string
	for s := bufio.NewScanner(bytes.NewReader(data)); s.Scan(); {
		rows = append(rows, strings.Fields(strings.ReplaceAll(s.Text(), ",", " ")))
	}
	of := map[string]class{"0": door, "3": window, "4": wall}
	return func(x, y int) class {
		if y >= len(rows) || x >= len(rows[y]) {
			return other
		}
		return of[rows[y][x]]
	}
}

func classPicture(t testing.TB, file string) func(x, y int) class {
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	of := map[[3]uint32]class{{0, 0, 128}: window, {128, 0, 0}: wall, {128, 128, 0}: door}
	return func(x, y int) class {
		r, g, b, _ := img.At(x, y).RGBA()
		return of[[3]uint32{r >> 8, g >> 8, b >> 8}]
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
// labelled window by half (intersection over union) is right, each window once. The page
// shows those on marked walls: that is the second count, with the labelled house for
// the wall.
func TestWindows(t *testing.T) {
	for _, pattern := range []string{"pad_*", "lmf_*"} {
		var all, shown tally
		for _, f := range facades(t, pattern) {
			proposals := photo.Windows(f.picture)
			all.count(f, proposals)
			shown.count(f, slices.DeleteFunc(proposals, func(p photo.Proposal) bool {
				middle := boxOf(p).Min.Add(boxOf(p).Max).Div(2)
				return !f.house(middle.X, middle.Y)
			}))
		}
		t.Logf("%s: %v; on the house's walls %v", pattern, all, shown)
		if all.right == 0 {
			t.Errorf("%s: no window is found", pattern)
		}
	}
}

// tally counts proposals over pictures.
type tally struct{ right, proposed, there int }

func (c *tally) count(f labelled, proposals []photo.Proposal) {
	taken := make([]bool, len(f.windows))
	for _, p := range proposals {
		box := boxOf(p)
		for i, w := range f.windows {
			if !taken[i] && alike(box, w) >= 0.5 {
				taken[i] = true
				c.right++
				break
			}
		}
	}
	c.proposed, c.there = c.proposed+len(proposals), c.there+len(f.windows)
}

func (c tally) String() string {
	return fmt.Sprintf("precision %.2f, recall %.2f (%d right of %d proposed, %d windows)",
		float64(c.right)/float64(max(1, c.proposed)), float64(c.right)/float64(max(1, c.there)), c.right, c.proposed, c.there)
}

func boxOf(p photo.Proposal) image.Rectangle {
	r := image.Rectangle{Min: image.Pt(1<<30, 1<<30), Max: image.Pt(-1<<30, -1<<30)}
	for _, c := range p.Corners {
		r.Min.X, r.Min.Y = min(r.Min.X, int(c.U+0.5)), min(r.Min.Y, int(c.V+0.5))
		r.Max.X, r.Max.Y = max(r.Max.X, int(c.U+0.5)), max(r.Max.Y, int(c.V+0.5))
	}
	return r
}
