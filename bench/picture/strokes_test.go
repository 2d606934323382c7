package picture

import (
	"image/png"
	"os"
	"testing"
	"time"

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
		guess := picture.GuessMask(&p)
		var strokes []mask.Stroke
		got := guess
		var took time.Duration
		for n := 0; ; n++ {
			o := overlap(got, s.Soft, field)
			t.Logf("%s, %d strokes: in front IoU %.3f, shares off by %.4f, %v", name, n, o.IoU, o.Off, took)
			if os.Getenv("PICTURES") != "" && (n == 0 || n == 6) {
				f, _ := os.Create(os.Getenv("PICTURES") + "/mask_" + name + string(rune('0'+n)) + ".png")
				png.Encode(f, got)
				f.Close()
			}
			next, ok := correction(got, s.Soft, field)
			if !ok || n == 6 {
				break
			}
			strokes = append(strokes, next)
			begun := time.Now()
			var err error
			if got, err = mask.Refine(s.Before, guess, asked(s.Before.Rect, field), strokes); err != nil {
				t.Fatal(err)
			}
			took = time.Since(begun)
		}
	}
}
