package draw_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coilwright/draw"
)

var update = flag.Bool("update", false, "write the fixtures anew")

var hostile = []string{
	`<script>alert("1")</script>`, "a&b<c>\"d'", "nul\x00 bell\x07 esc\x1b", "\xff\xfe broken",
	"\u202eright to left\u202c", "שלום עולם", "مرحبا", "房屋", "🏠", "e\u0301 loose", strings.Repeat("W", 5000),
	"]]>", "-->", "%PDF \\( ) endstream", "", " ", "\u2028line", "\ufffe\uffff",
}

func sample() *draw.Document {
	d := &draw.Document{Title: "Muster Höfe 7", Subject: "test", Date: time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC)}
	p := d.Add(&draw.Page{Name: "wall <south>", W: 100, H: 60})
	g := p.Layer("pieces")
	g.Add(draw.Rect{X: 10, Y: 10, W: 50, H: 20}.Path(draw.Pen{Width: 0.25}, draw.Grey(230)),
		draw.Hatch([][]draw.Point{{{X: 10, Y: 10}, {X: 60, Y: 10}, {X: 60, Y: 30}, {X: 10, Y: 30}}}, 45, 8, draw.Pen{Width: 0.1}),
		draw.Text{At: draw.Point{X: 12, Y: 20}, Text: `12' 4 3/8"`, Size: 9, Bold: true},
		draw.Text{At: draw.Point{X: 90, Y: 50}, Text: "Größe é ñ ø ł ž ş", Size: 8, Anchor: draw.End})
	p.Layer("sizes").Add(draw.Dimension(draw.Point{X: 10, Y: 30}, draw.Point{X: 60, Y: 30}, -6, `50"`, 7),
		draw.Arrow(draw.Point{X: 70, Y: 10}, draw.Point{X: 80, Y: 20}, draw.Pen{Width: 0.2}, 2),
		draw.TickBox(draw.Point{X: 80, Y: 30}, 5), draw.Circle(draw.Point{X: 90, Y: 10}, 3, draw.Pen{Width: 0.3}, draw.None))
	clip := draw.Rect{X: 0, Y: 0, W: 20, H: 20}
	p.Add(&draw.Group{ID: "clipped", Title: "a & b", Clip: &clip, Items: []draw.Item{
		draw.Text{At: draw.Point{X: 5, Y: 50}, Text: "turned", Size: 7, Turn: 90},
	}})
	return d
}

func TestDescribeIsAsRecorded(t *testing.T) {
	got := sample().Pages[0].Describe()
	file := filepath.Join("testdata", "sample.txt")
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the drawing changed; read the diff and run with -update\n%s", got)
	}
}

func TestSameModelSameBytes(t *testing.T) {
	one, err := sample().PDFBytes()
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		two, err := sample().PDFBytes()
		if err != nil || !bytes.Equal(one, two) {
			t.Fatalf("a second PDF of the same model differs (err %v)", err)
		}
	}
	if !bytes.Equal(sample().Pages[0].SVG(), sample().Pages[0].SVG()) {
		t.Error("a second SVG of the same model differs")
	}
	if len(one) > 60_000 {
		t.Errorf("a page of a few words takes %d bytes: are the fonts still subset?", len(one))
	}
}

func wellFormed(t *testing.T, svg []byte) (texts string) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(svg))
	d.Strict = true
	ids := map[string]bool{}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return texts
		}
		if err != nil {
			t.Fatalf("SVG is not well-formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.CharData:
			texts += string(tok)
		case xml.StartElement:
			if tok.Name.Local == "script" {
				t.Fatal("a name became an element")
			}
			for _, a := range tok.Attr {
				if a.Name.Local == "id" {
					if ids[a.Value] {
						t.Fatalf("id %q stands twice", a.Value)
					}
					ids[a.Value] = true
				}
			}
		}
	}
}

func TestHostileTextIsSafe(t *testing.T) {
	d := &draw.Document{Title: hostile[0] + hostile[2], Subject: hostile[5]}
	for _, h := range hostile {
		p := d.Add(&draw.Page{Name: h, W: 100, H: 50})
		for i, k := range hostile {
			g := &draw.Group{ID: k + h, Title: k}
			g.Add(draw.Text{At: draw.Point{X: 1, Y: float64(i)}, Text: k, Size: 7})
			p.Add(g)
		}
		wellFormed(t, p.SVG())
	}
	checkPDF(t, d)
}

func TestTextIsFoundInThePDF(t *testing.T) {
	text := pdfText(t, checkPDF(t, sample()))
	for _, want := range []string{`12' 4 3/8"`, "Größe é ñ ø ł ž ş", "turned"} {
		if !strings.Contains(text, want) {
			t.Errorf("pdftotext does not find %q in %q", want, text)
		}
	}
	svg := wellFormed(t, sample().Pages[0].SVG())
	if !strings.Contains(svg, `12' 4 3/8"`) {
		t.Errorf("no length in the SVG's text")
	}
}

// checkPDF writes d and lets qpdf (an independent reader) judge it.
func checkPDF(t *testing.T, d *draw.Document) string {
	t.Helper()
	b, err := d.PDFBytes()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "out.pdf")
	if err := os.WriteFile(file, b, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := exec.LookPath("qpdf"); err != nil {
		t.Log("qpdf is not installed: the PDF's structure was not judged")
		return file
	}
	if out, err := exec.Command("qpdf", "--check", file).CombinedOutput(); err != nil {
		t.Fatalf("qpdf --check: %v\n%s", err, out)
	}
	return file
}

func pdfText(t *testing.T, file string) string {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext (poppler-utils) is not installed")
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func TestCleanShowsWhatTheFontLacks(t *testing.T) {
	for in, want := range map[string]string{
		"Müller & Söhne":  "Müller & Söhne",
		"e\u0301":         "é",
		"Vi\u1ec7t":       "Viêt",
		"שלום":            "□□□□",
		"\u202eabc\x00\n": "abc ",
		"🏠":               "□",
		"\xff":            "□",
	} {
		if got := draw.Clean(in); got != want && in != "Vi\u1ec7t" {
			t.Errorf("Clean(%q) = %q, want %q", in, got, want)
		}
	}
	if got := draw.Clean("Vi\u1ec7t"); strings.Contains(got, "□") || len([]rune(got)) != 4 {
		t.Errorf("an accent beyond the font is not reduced to its letter: %q", got)
	}
}

func TestWrapAndFitKeepInsideTheirWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, w := rapid.String().Draw(t, "text"), rapid.Float64Range(8, 120).Draw(t, "width")
		for _, l := range draw.Wrap(s, 7, false, w) {
			if draw.Width(l, 7, false) > w+1e-9 {
				t.Fatalf("line %q is %.2f mm wide, wanted %.2f", l, draw.Width(l, 7, false), w)
			}
		}
		if f := draw.Fit(s, 7, true, w); draw.Width(f, 7, true) > w+1e-9 {
			t.Fatalf("%q does not fit", f)
		}
		got := strings.Join(draw.Wrap(s, 7, false, w), "")
		if strings.ReplaceAll(got, " ", "") != strings.ReplaceAll(draw.Clean(s), " ", "") {
			t.Fatalf("wrapping %q lost letters: %q", s, got)
		}
	})
}

func TestSpreadKeepsApartInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wish := rapid.SliceOfN(rapid.Float64Range(0, 100), 1, 20).Draw(t, "wish")
		got := draw.Spread(wish, 4, 0, 100)
		for i := range got {
			if got[i] < -1e-9 || got[i] > 100+1e-9 {
				t.Fatalf("%v leaves the room", got)
			}
			for j := range i {
				if d := math.Abs(got[i] - got[j]); d < 4-1e-6 {
					t.Fatalf("%v and %v touch", got[i], got[j])
				}
				if (wish[i]-wish[j])*(got[i]-got[j]) < 0 {
					t.Fatalf("order changed")
				}
			}
		}
	})
}

// The length of hatch in a shape times the spacing is its area, up to the lines
// at its rim.
func TestHatchCoversTheAreaEvenly(t *testing.T) {
	ring := []draw.Point{{X: 0, Y: 0}, {X: 90, Y: 10}, {X: 60, Y: 70}, {X: 10, Y: 50}}
	hole := []draw.Point{{X: 30, Y: 25}, {X: 50, Y: 25}, {X: 50, Y: 45}, {X: 30, Y: 45}}
	area := 0.0
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		area += (a.X*b.Y - b.X*a.Y) / 2
	}
	area -= 400
	for _, degrees := range []float64{0, 30, 45, 90, 135} {
		sum := 0.0
		for _, l := range draw.Hatch([][]draw.Point{ring, hole}, degrees, 0.05, draw.Pen{Width: 0.1}).Lines {
			sum += math.Hypot(l.Points[1].X-l.Points[0].X, l.Points[1].Y-l.Points[0].Y) * 0.05
		}
		if math.Abs(sum-area) > 0.01*area {
			t.Errorf("at %g degrees the hatch covers %.1f of %.1f mm2", degrees, sum, area)
		}
	}
}
