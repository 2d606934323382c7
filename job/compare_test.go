package job

import (
	"encoding/json"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"coilwright/examples"
	"coilwright/measure"
)

// paper is a comparison as another program reads it, with the layout that it
// rests on: the judge below knows no more than these two answers.
type paper struct {
	layout  LayoutAnswer
	compare CompareAnswer
}

func compared(t *testing.T, name, scheme string) (paper, *Comparison, *Job) {
	t.Helper()
	data, err := examples.Files.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	j, found := Parse(name, data, nil)
	if found.Fatal() {
		t.Fatal(found)
	}
	c, l, err := j.Compare(scheme)
	if err != nil {
		t.Fatal(err)
	}
	var p paper
	again(t, j.LayoutAnswer(l), &p.layout)
	again(t, j.CompareAnswer(c, true), &p.compare)
	return p, c, &j
}

// again writes an answer as JSON and reads it back.
func again(t *testing.T, from, to any) {
	t.Helper()
	text, err := json.Marshal(from)
	if err == nil {
		err = json.Unmarshal(text, to)
	}
	if err != nil {
		t.Fatal(err)
	}
}

const near = 1e-6 // inches: JSON carries lengths as decimal inches

// judge checks every plan in box siding against the formed pieces: each is covered
// from end to end, piece after piece with a lap, from sections that hold no more
// than their length; joints of neighbouring courses are apart.
func (p paper) judge(t *testing.T, name string) {
	t.Helper()
	for _, b := range p.compare.Box {
		parts := map[string][]BoxPartAnswer{}
		for _, s := range *b.Plan {
			sum := s.LeftIn
			for _, q := range s.Parts {
				sum += q.LengthIn
				parts[q.Piece] = append(parts[q.Piece], q)
			}
			if math.Abs(sum-12*b.SectionFt) > near || s.LeftIn < 0 {
				t.Errorf("%s, %g ft: a section's parts and offcut make %g in", name, b.SectionFt, sum)
			}
		}
		joints := 0
		for _, q := range p.layout.Pieces {
			if q.LengthIn == 0 {
				continue // shorter than the step: nothing hangs there
			}
			mine := parts[q.ID]
			slices.SortFunc(mine, func(a, b BoxPartAnswer) int { return a.N - b.N })
			joints += len(mine) - 1
			at := p.compare.Rules.LapIn
			for k, m := range mine {
				if m.N != k+1 || math.Abs(m.FromIn-at+p.compare.Rules.LapIn) > near {
					t.Errorf("%s, %g ft: piece %d of %s begins at %g, the one before ends at %g", name, b.SectionFt, m.N, q.ID, m.FromIn, at)
				}
				at = m.FromIn + m.LengthIn
			}
			if math.Abs(at-q.LengthIn) > near {
				t.Errorf("%s, %g ft: %s is covered to %g of %g in", name, b.SectionFt, q.ID, at, q.LengthIn)
			}
		}
		if joints != b.Joints || len(*b.Plan) != b.Sections || b.Sections < b.BoundSections || b.BoundSections < b.BareSections {
			t.Errorf("%s, %g ft: %d joints and %d sections counted, %+v", name, b.SectionFt, joints, len(*b.Plan), b)
		}
		p.judgeStagger(t, name, b, parts)
	}
}

func (p paper) judgeStagger(t *testing.T, name string, b BoxAnswer, parts map[string][]BoxPartAnswer) {
	t.Helper()
	if len(b.Compromises) > 0 {
		return // judged in package box, strip by strip
	}
	type row struct {
		wall, zone string
		course     int
	}
	rows := map[row][]PieceAnswer{}
	for _, q := range p.layout.Pieces {
		rows[row{q.Wall, q.Zone, q.Course}] = append(rows[row{q.Wall, q.Zone, q.Course}], q)
	}
	seam := func(q PieceAnswer, m BoxPartAnswer) float64 { return q.At[axis(q)] + m.FromIn }
	for _, q := range p.layout.Pieces {
		for _, o := range rows[row{q.Wall, q.Zone, q.Course + 1}] {
			if a, b := q.At[axis(q)], o.At[axis(o)]; a >= b+o.LengthIn || b >= a+q.LengthIn {
				continue
			}
			for _, m := range parts[q.ID][min(1, len(parts[q.ID])):] {
				for _, n := range parts[o.ID][min(1, len(parts[o.ID])):] {
					if d := math.Abs(seam(q, m) - seam(o, n)); d < p.compare.Rules.StaggerIn-near {
						t.Errorf("%s, %g ft: joints of %s and %s are %g in apart", name, b.SectionFt, q.ID, o.ID, d)
					}
				}
			}
		}
	}
}

// axis is 0 for a level piece, 1 for an upright one.
func axis(q PieceAnswer) int {
	if q.Panel == "vertical-12" || q.Panel == "vertical-16" {
		return 1
	}
	return 0
}

// sums checks that what is bought is what hangs and what is wasted.
func (p paper) sums(t *testing.T, name string, c *Comparison, j *Job) {
	t.Helper()
	f := p.compare.Formed
	parts := f.TrimmedFt2 + f.LapsFt2 + f.ThreadingFt2 + f.CutLossFt2 + f.ShortTailsFt2
	if math.Abs(parts-f.WasteFt2) > near || f.TrimmedFt2 < 0 || len(f.NoCoil) > 0 || f.Pieces != p.compare.Strips {
		t.Errorf("%s: formed waste %g, its parts %g, %+v", name, f.WasteFt2, parts, f)
	}
	var used, tails measure.Length
	for _, r := range c.Formed.Plan.Reels {
		used, tails = used+r.Used, tails+r.Tail
	}
	if used != c.Formed.Coil || tails != c.Formed.UsableTails+c.Formed.ShortTails {
		t.Errorf("%s: coils give %s and keep %s; compared are %s, %s and %s", name, used.Text(0), tails.Text(0),
			c.Formed.Coil.Text(0), c.Formed.UsableTails.Text(0), c.Formed.ShortTails.Text(0))
	}
	for k, b := range p.compare.Box {
		area := 0.0
		for _, g := range b.Groups {
			panel, _ := j.Book.Panel(g.Panel)
			area += float64(g.Sections) * b.SectionFt * panel.Cover().Feet()
		}
		if math.Abs(area-p.compare.HungFt2-b.WasteFt2) > near || math.Abs(b.TrimmedFt2+b.LapsFt2+b.OffcutsFt2-b.WasteFt2) > near {
			t.Errorf("%s: %s of %g sq ft, hung %g, waste %g", name, BoxName(BoxSections[k]), area, p.compare.HungFt2, b.WasteFt2)
		}
		if w := 100 * b.WasteFt2 / area; math.Abs(w-b.WastePct) > near {
			t.Errorf("%s: waste %g %%, says %g", name, w, b.WastePct)
		}
	}
}

func TestCompareExamples(t *testing.T) {
	all, err := fs.Glob(examples.Files, "*.json")
	if err != nil || len(all) == 0 {
		t.Fatal("no examples", err)
	}
	for _, name := range all {
		p, c, j := compared(t, name, "A")
		p.judge(t, name)
		p.sums(t, name, c, j)
	}
	p, c, j := compared(t, "alder.json", "B") // its skirt stands upright
	p.judge(t, "alder.json B")
	p.sums(t, "alder.json B", c, j)
}

// nineFoot is a wall 9 ft wide between edges without pockets or gaps, ten courses
// of 10 in high: 9 ft of each course, and its answers can be worked out by hand.
const nineFoot = `{ "format": "coilwright/job@1",
 "house": { "walls": [ { "id": "a", "outline": [[0,0],["9'",0],["9'",100],[0,100]], "edges": ["base","open","eave","open"] } ] },
 "schemes": [ { "id": "A", "zones": [ { "panel": "dutch-double-5", "texture": "grain", "colour": "slate" } ] } ],
 "shop": { "use": "demo", "receivers": { "open": {"pocket": 0}, "eave": {"pocket": 0}, "base": {"pocket": 0} },
  "gap": { "min": 0, "allowance": 0, "alpha_per_f": 0 } } }`

// By hand: ten strips of 9 ft, 75 sq ft of wall. From 12 ft sections ten leave 3 ft
// each, 25 sq ft or a quarter; from 10 ft ones 1 ft, a tenth. From coil: 90 ft, ten
// cuts of 1/16 in, 6 ft of threading, 10 in wide: 5.04 sq ft. A foot of 14 in strip 0.019 in
// thick weighs 0.2836 x 0.019 x 14 x 12 = 0.9053 lb.
func TestCompareByHand(t *testing.T) {
	j, found := Parse("nine.json", []byte(nineFoot), nil)
	if found.Fatal() {
		t.Fatal(found)
	}
	c, _, err := j.Compare("A")
	if err != nil {
		t.Fatal(err)
	}
	a := j.CompareAnswer(c, false)
	for k, want := range []struct {
		sections       int
		waste, pct, lb float64
	}{{10, 10 * 1 * 10. / 12, 10, 90.53}, {10, 25, 25, 108.63}, {10, 10 * 3.5 * 10 / 12, 28, 113.16}} {
		b := a.Box[k]
		if b.Sections != want.sections || b.Joints != 0 || !b.Optimal || math.Abs(b.WasteFt2-want.waste) > 1e-9 ||
			math.Abs(b.WastePct-want.pct) > 1e-9 || math.Abs(*b.WeightLb-want.lb) > 0.01 {
			t.Errorf("%g ft: %+v", b.SectionFt, b)
		}
	}
	loss := 10. / 16 / 12
	if f := a.Formed; math.Abs(f.CoilFt-96-loss) > 1e-9 || math.Abs(f.WasteFt2-(6+loss)*10/12) > 1e-9 || math.Abs(*f.WeightLb-(96+loss)*0.9053) > 0.01 {
		t.Errorf("formed: %+v", f)
	}
	if l := a.Least[0]; l.What != "waste" || !slices.Equal(l.Who, []string{"formed"}) {
		t.Errorf("least waste: %v", l)
	}
}

// Where box siding wins, the answer says so: a wall that 10 ft sections cover to the
// inch wastes nothing of them, while a coil must be threaded.
func TestBoxSidingWins(t *testing.T) {
	text := []byte(nineFoot)
	for at := range text {
		if string(text[at:min(at+2, len(text))]) == "9'" {
			text = slices.Replace(text, at, at+2, []byte("120 in")...)
		}
	}
	j, found := Parse("ten.json", text, nil)
	if found.Fatal() {
		t.Fatal(found)
	}
	c, _, err := j.Compare("A")
	if err != nil {
		t.Fatal(err)
	}
	a := j.CompareAnswer(c, false)
	if b := a.Box[0]; b.Sections != 10 || math.Abs(b.WasteFt2) > near {
		t.Errorf("%+v", b)
	}
	if l := a.Least[0]; !slices.Equal(l.Who, []string{"box 10 ft"}) {
		t.Errorf("least waste: %v", a.Least)
	}
	if l := a.Least[1]; !slices.Equal(l.Who, []string{"formed", "box 10 ft", "box 12 ft", "box 12.5 ft"}) {
		t.Errorf("least joints: %v", a.Least)
	}
}

func TestCompareFitsTheSchema(t *testing.T) {
	p, _, _ := compared(t, "alder.json", "A")
	data, err := json.Marshal(p.compare)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "compare.json")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if out := validate(t, "compare="+path); out != "" {
		t.Errorf("not what the schema says:\n%s", out)
	}
}
