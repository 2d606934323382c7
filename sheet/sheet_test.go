package sheet_test

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/sheet"
)

var (
	update = flag.Bool("update", false, "write the fixtures anew")
	keep   = flag.String("keep", "", "write the papers of the tests into this folder, to look at them")
)

func papers(t *testing.T, in sheet.Input) map[string][]byte {
	t.Helper()
	files, err := sheet.Papers(in)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, f := range files {
		if _, twice := out[f.Name]; twice {
			t.Fatalf("%s is made twice", f.Name)
		}
		out[f.Name] = f.Bytes
	}
	if *keep != "" {
		if _, err := sheet.Write(filepath.Join(*keep, t.Name()), files); err != nil {
			t.Fatal(err)
		}
	}
	judge(t, out)
	return out
}

// judge lets independent readers look at every file: qpdf, a strict XML reader, a
// CSV reader.
func judge(t *testing.T, files map[string][]byte) {
	t.Helper()
	_, err := exec.LookPath("qpdf")
	for name, b := range files {
		switch filepath.Ext(name) {
		case ".pdf":
			if err == nil {
				checkPDF(t, name, b)
			}
		case ".svg":
			wellFormed(t, name, b)
		case ".csv":
			if _, err := csv.NewReader(bytes.NewReader(b)).ReadAll(); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}

func checkPDF(t *testing.T, name string, b []byte) {
	t.Helper()
	cmd := exec.Command("qpdf", "--check", "-")
	file := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(file, b, 0o644); err != nil {
		t.Fatal(err)
	}
	cmd.Args[2] = file
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%s: %v\n%s", name, err, out)
	}
}

func wellFormed(t *testing.T, name string, b []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(b))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Errorf("%s is not well-formed: %v", name, err)
			return
		}
		if e, ok := tok.(xml.StartElement); ok && e.Name.Local == "script" {
			t.Errorf("%s: a name became an element", name)
		}
	}
}

func pdfText(t *testing.T, b []byte) string {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext (poppler-utils) is not installed")
	}
	cmd := exec.Command("pdftotext", "-layout", "-", "-")
	cmd.Stdin = bytes.NewReader(b)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// Every piece's number stands on its wall's drawing, and its number and length on
// the run sheet and the piece list: read back out of the PDF.
func TestEveryPieceIsOnThePapers(t *testing.T) {
	in := papersOf(t, measure.Imperial, 40*measure.Inch, gable("south"), gable("north"))
	files := papers(t, in)
	run, list := strings.Fields(pdfText(t, files["run-sheet.pdf"])), pdfText(t, files["piece-list.pdf"])
	words := strings.Fields(list)
	walls := [][]string{strings.Fields(pdfText(t, files["wall-01-south.pdf"])), strings.Fields(pdfText(t, files["wall-02-north.pdf"]))}
	for _, p := range in.Layout.Pieces {
		if !slices.Contains(walls[p.Wall], p.Number) {
			t.Errorf("%s is not on its wall's drawing", p.Number)
		}
		if !slices.Contains(run, p.Number) || !slices.Contains(words, p.Number) {
			t.Errorf("%s is missing on the run sheet or the piece list", p.Number)
		}
		if !strings.Contains(list, p.Length.Text(measure.Imperial)) {
			t.Errorf("the piece list does not show %s of %s", p.Length.Text(measure.Imperial), p.Number)
		}
	}
}

// However many lines a run has, its last page holds more than one of them.
func TestNoLineOfARunStandsAlone(t *testing.T) {
	in := papersOf(t, measure.Imperial, 40*measure.Inch, gable("south"), gable("north"))
	pages := 0
	for n := 44; n <= min(52, len(in.Run.Setups[0].Pieces)); n++ {
		short := in
		one := in.Run.Setups[0]
		one.Pieces = one.Pieces[:n]
		short.Run.Setups = []sheet.Setup{one}
		files, err := sheet.Papers(short)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			if f.Name != "run-sheet.pdf" {
				continue
			}
			text := strings.Split(strings.TrimRight(pdfText(t, f.Bytes), "\f\n"), "\f")
			pages = max(pages, len(text))
			if last := text[len(text)-1]; len(text) > 1 && strings.Count(last, "×") < 2 {
				t.Errorf("%d pieces: one line on page %d:\n%s", n, len(text), last)
			}
		}
	}
	if pages < 2 {
		t.Fatal("no run of two pages")
	}
}

func TestCautionsStandInTheirPlaces(t *testing.T) {
	files := papers(t, papersOf(t, measure.Imperial, 40*measure.Inch, gable("south")))
	for name, words := range map[string][]string{
		"first-sheet.pdf":   {"lead paint", "asbestos", "bonding", "ask a certified person"},
		"wall-01-south.pdf": {"FALLS", "ladder", "POWER LINES", "WIND", "CHECK AGAINST THE HOUSE BEFORE CUTTING"},
		"run-sheet.pdf":     {"Guards on", "lock the power out", "SPRING", "micrometer", "Edges are sharp"},
	} {
		text := strings.Join(strings.Fields(pdfText(t, files[name])), " ")
		for _, w := range append(words, "The law, the panel maker's instructions") {
			if !strings.Contains(text, w) {
				t.Errorf("%s does not say %q", name, w)
			}
		}
		if strings.Contains(strings.ToLower(text), "exempt") {
			t.Errorf("%s says exempt", name)
		}
	}
}

func TestSamePapersSameBytes(t *testing.T) {
	a := papers(t, papersOf(t, measure.Metric, 40*measure.Inch, gable("south")))
	b := papers(t, papersOf(t, measure.Metric, 40*measure.Inch, gable("south")))
	for name := range a {
		if !bytes.Equal(a[name], b[name]) {
			t.Errorf("%s differs when it is made again", name)
		}
	}
}

func TestMetricWallWithFriezeAndShake(t *testing.T) {
	w := house.Wall{ID: "Straße", Outline: rect(0, 0, 10*measure.Metre, 2700*measure.Millimetre), Measured: house.Unstated}
	for i, x := range []measure.Length{1, 4, 7} {
		w.Openings = append(w.Openings, house.Opening{
			ID: string(rune('a' + i)), Kind: house.Window, Outline: rect(x*measure.Metre, 800*measure.Millimetre, 900*measure.Millimetre, 1200*measure.Millimetre),
		})
	}
	files := papers(t, papersOf(t, measure.Metric, 0, w))
	text := pdfText(t, files["wall-01-stra-e.pdf"])
	for _, want := range []string{"Wall Straße", "1:50", "frieze board", "shake: 84 pieces", "900 x 1200", "10000", "millimetres", "15.6 °C"} {
		if !strings.Contains(text, want) {
			t.Errorf("the wall's drawing does not say %q", want)
		}
	}
	if strings.Contains(text, "'") && strings.Contains(text, "\"") {
		t.Error("feet or inches on a metric drawing")
	}
}

func TestPapersOfHostileNames(t *testing.T) {
	names := []string{
		"<script>alert(1)</script>", "\x00\x07\x1b[2J", strings.Repeat("very long name ", 400), "\u202eשלום", "=HYPERLINK(\"x\")", "../../etc/passwd", "", "Öberstraße", "\xff\xfe",
	}
	var walls []house.Wall
	for _, n := range names {
		w := gable(n)
		w.Openings[0].ID, w.Openings[0].Kind = n, house.OpeningKind(n)
		walls = append(walls, w)
	}
	in := papersOf(t, measure.Imperial, 40*measure.Inch, walls...)
	in.Title, in.Revision = names[0]+names[3], names[2]
	in.Scheme.Title, in.Scheme.Zones[0].ID = names[2], names[1]
	in.Scheme.Zones[1].Panel = names[2]
	for i := range in.Layout.Pieces {
		p := &in.Layout.Pieces[i]
		p.Colour, p.Panel = names[i%len(names)], names[(i+2)%len(names)]
		p.Warnings = []string{names[i%len(names)]}
	}
	for i := range in.Run.Coils {
		in.Run.Coils[i].ID, in.Run.Coils[i].Lot = names[2], names[4]
	}
	in.Run.Cautions = []sheet.Caution{{Where: names[0], Text: names[2]}, {Where: "load", Text: names[3]}}
	in.Trim = []sheet.TrimLine{{names[0], names[1], names[2], names[3]}, {names[4], "-3+4", "@x", "\t=1+1"}}
	files := papers(t, in)
	for name := range files {
		if strings.ContainsAny(name, "/\\<>\x00 ") {
			t.Errorf("file name %q", name)
		}
	}
	noFormulas(t, files)
}

func noFormulas(t *testing.T, files map[string][]byte) {
	t.Helper()
	for _, name := range []string{"pieces.csv", "run.csv", "coils.csv", "trim.csv"} {
		rows, err := csv.NewReader(bytes.NewReader(files[name])).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			for _, c := range row {
				if c = strings.TrimSpace(c); c != "" && strings.ContainsAny(c[:1], "=+@\t\r") || len(c) > 1 && c[0] == '-' && strings.Trim(c[1:], "0123456789.") != "" {
					t.Errorf("%s holds a cell that a spreadsheet would work out: %q", name, c)
				}
			}
		}
	}
	x, err := excelize.OpenReader(bytes.NewReader(files["lists.xlsx"]))
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	if f, err := x.GetCellFormula("trim", "A3"); err != nil || f != "" {
		t.Errorf("a name became a formula: %q %v", f, err)
	}
	if v, _ := x.GetCellValue("trim", "A3"); v != `=HYPERLINK("x")` {
		t.Errorf("the workbook shows %q", v)
	}
}

func TestLongWallGoesOntoParts(t *testing.T) {
	w := gable("row")
	w.Outline = rect(0, 0, 200*ft, 30*ft)
	w.Edges = w.Edges[:4]
	w.Openings = nil
	for i := range 40 {
		w.Openings = append(w.Openings, house.Opening{ID: "W" + string(rune('A'+i%26)), Kind: house.Window, Outline: rect(measure.Length(i)*5*ft+ft, 4*ft, 3*ft, 5*ft)})
	}
	in := papersOf(t, measure.Imperial, 0, w)
	files := papers(t, in)
	if _, ok := files["wall-01-row-part1.svg"]; !ok {
		t.Fatal("a wall of 200 ft stands on one sheet")
	}
	words := strings.Fields(pdfText(t, files["wall-01-row.pdf"]))
	for _, p := range in.Layout.Pieces {
		if !slices.Contains(words, p.Number) {
			t.Errorf("%s is on no part", p.Number)
		}
	}
}

func TestPapersOfNothing(t *testing.T) {
	in := papersOf(t, measure.Metric, 0, house.Wall{ID: "dot", Outline: plane.Ring{{}, {X: 1}, {Y: 1}}})
	in.Run, in.Trim, in.Layout.Zones, in.Layout.Pieces = sheet.Run{}, nil, nil, nil
	in.InstallTempF = nil
	papers(t, in)
	in.House.Walls = nil
	papers(t, in)
	if _, err := sheet.Papers(sheet.Input{}); err == nil {
		t.Error("papers of no house")
	}
}

func TestWallDrawingIsAsRecorded(t *testing.T) {
	files := papers(t, papersOf(t, measure.Imperial, 40*measure.Inch, gable("south")))
	golden(t, "gable.svg", files["wall-01-south.svg"])
	golden(t, "pieces.csv", files["pieces.csv"])
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s changed; look at it (-keep FOLDER), then run with -update", name)
	}
}
