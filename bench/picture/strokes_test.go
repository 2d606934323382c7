package picture

import (
	"testing"

	"coilwright/mask"
	"coilwright/picture"
)

// TestStrokes lets a person's strokes, drawn from the truth one after the other where
// the matte is most wrong, mend the guessed masks of the scenes.
func TestStrokes(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := load(t, name)
		p := s.Photo()
		p.Mask = nil
		field := fieldOf(&p)
		where := asked(s.Before.Rect, field)
		guess := picture.GuessMask(&p)
		var strokes []mask.Stroke
		got := guess
		first := overlap(got, s.Soft, field)
		for n := 0; ; n++ {
			o := overlap(got, s.Soft, field)
			t.Logf("%s, %d strokes: in front IoU %.3f, shares off by %.4f", name, n, o.IoU, o.Off)
			next, ok := correction(got, s.Soft, field)
			if !ok || n == 6 {
				if o.IoU < max(0.75, first.IoU) || o.Off > 0.05 {
					t.Errorf("%s: strokes do not mend the mask", name)
				}
				break
			}
			strokes = append(strokes, next)
			var err error
			if got, err = mask.Refine(s.Before, guess, where, strokes); err != nil {
				t.Fatal(err)
			}
		}
		keep(t, got, "mask_"+name)
	}
}

// TestJobStrokes holds the strokes that the scenes' jobs carry, drawn along trunk and
// branches, pipes and lamps, to the truth: the wall between branches stays wall.
func TestJobStrokes(t *testing.T) {
	for _, c := range []struct {
		name     string
		iou, off float64
	}{{"alder", 0.83, 0.014}, {"birch", 0.80, 0.029}} {
		s := load(t, c.name)
		p := s.Photo()
		p.Mask = nil
		j, open, err := s.Job(`[{"id":"A","zones":[{"id":"field","walls":"all","where":"rest","panel":"dutch-double-5","texture":"smooth","colour":"slate"}]}]`)
		if err != nil {
			t.Fatal(err)
		}
		f, err := picture.FitAt(j, j.Photos[0], open, 0)
		if err != nil {
			t.Fatal(err)
		}
		o := overlap(f.Prepared.Covered(), s.Soft, fieldOf(&p))
		t.Logf("%s: in front IoU %.3f, shares off by %.4f", c.name, o.IoU, o.Off)
		if o.IoU < c.iou || o.Off > c.off {
			t.Errorf("%s: the job's strokes do not tell what stands in front", c.name)
		}
	}
}
