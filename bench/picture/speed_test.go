package picture

import (
	"bufio"
	"fmt"
	"image"
	"io"
	"maps"
	"math"
	"os/exec"
	"runtime"
	"slices"
	"syscall"
	"testing"
	"time"

	"coilwright/bench"
	"coilwright/picture"
)

// blown is by how much a scene's photo is blown up to about 12 megapixels.
const blown = 2.5

// large is a scene blown up.
func large(s *Scene) picture.Photo {
	const k = blown
	p := s.Photo()
	size := image.Rect(0, 0, int(k*float64(p.Image.Rect.Dx())), int(k*float64(p.Image.Rect.Dy())))
	big, mask := image.NewRGBA(size), image.NewGray(size)
	for y := range size.Dy() {
		for x := range size.Dx() {
			u, v := int(float64(x)/k), int(float64(y)/k)
			big.SetRGBA(x, y, s.Before.RGBAAt(u, v))
			mask.SetGray(x, y, s.Soft.GrayAt(u, v))
		}
	}
	p.Image, p.Mask = big, mask
	p.Camera.Focal, p.Camera.CX, p.Camera.CY = p.Camera.Focal*k, p.Camera.CX*k, p.Camera.CY*k
	for i := range p.References {
		for j := range p.References[i].Pixels {
			p.References[i].Pixels[j].U *= k
			p.References[i].Pixels[j].V *= k
		}
	}
	return p
}

// peer is OpenCV in a process of its own.
type peer struct {
	in  io.WriteCloser
	out *bufio.Scanner
}

// startPeer starts one of its scripts with as many threads as we have, nil where OpenCV
// is not there.
func startPeer(b *testing.B, script string, args ...string) *peer {
	b.Helper()
	if err := exec.Command(bench.Python, "-c", "import cv2, numpy").Run(); err != nil {
		b.Log("OpenCV (python3-opencv) is not installed: no peer to compare with")
		return nil
	}
	c := exec.Command(bench.Python, append([]string{script, fmt.Sprint(runtime.GOMAXPROCS(0))}, args...)...)
	in, err := c.StdinPipe()
	if err != nil {
		b.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := c.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { in.Close(); c.Wait() })
	return &peer{in, bufio.NewScanner(out)}
}

// times are the peer's least time and its processors' mean time, in milliseconds.
func (p *peer) times(b *testing.B) (ms, spent float64) {
	fmt.Fprintln(p.in)
	if !p.out.Scan() {
		b.Fatal("the peer gave no time")
	}
	fmt.Sscan(p.out.Text(), &ms, &spent)
	return ms, spent
}

// beside times what is done, several times a turn, in turn with the peer, where there is
// one (p may be nil). It reports the least times and the processors' mean, under the
// names of the two and with the goals of ours and of the ratio.
func (p *peer) beside(b *testing.B, several int, do func(), what, goal, peer, ratio string) {
	b.Helper()
	ours, theirs := math.Inf(1), math.Inf(1)
	var mine, peers, n float64
	for b.Loop() {
		before := spent()
		for range several {
			begun := time.Now()
			do()
			ours = min(ours, milliseconds(begun))
		}
		mine, n = mine+(spent()-before)/float64(several), n+1
		if p != nil {
			ms, cpu := p.times(b)
			theirs, peers = min(theirs, ms), peers+cpu
		}
	}
	b.ReportMetric(ours, "ms/"+what+goal)
	b.ReportMetric(mine/n, "cpu-ms/"+what)
	if p != nil {
		b.ReportMetric(theirs, "ms/"+peer)
		b.ReportMetric(ours/theirs, "x-of-"+peer+ratio)
		b.ReportMetric(mine/peers, "cpu-x-of-"+peer)
	}
}

func milliseconds(begun time.Time) float64 { return float64(time.Since(begun).Microseconds()) / 1000 }

// spent is the processors' time that this process took so far, in milliseconds.
func spent() float64 {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e6
}

// BenchmarkScenes paints every truth scene at its own 1600 x 1200 and reports how
// near it comes: CIEDE2000 in the mean and at 95 %, SSIM, and plain recolouring's
// mean beside it.
func BenchmarkScenes(b *testing.B) {
	for _, name := range []string{"alder", "birch"} {
		s := load(b, name)
		ready := picture.Prepare(s.Photo())
		for id, after := range s.After {
			b.Run(name+"/"+id, func(b *testing.B) {
				dress := s.Dress(id)
				out, err := ready.Render(dress)
				if err != nil {
					b.Fatal(err)
				}
				for b.Loop() {
					ready.RenderOver(out, dress)
				}
				got := Compare(asFile(b, out), after, s.Mask)
				plain := Compare(asFile(b, Recoloured(s, s.albedoAt(s.Truth.Camera(), id))), after, s.Mask)
				b.ReportMetric(got.Mean, "dE-mean(goal<3)")
				b.ReportMetric(got.P95, "dE-95%(goal<8)")
				b.ReportMetric(got.SSIM, "SSIM(goal>0.9)")
				b.ReportMetric(plain.Mean, "dE-mean-recoloured")
			})
		}
	}
}

// BenchmarkRender12MP paints a scheme, mask and blend included and the JPEG not,
// beside OpenCV's bilinear warp of as many pixels with as many threads. Both times
// are the least of several, taken in turn.
func BenchmarkRender12MP(b *testing.B) {
	p := startPeer(b, "warp.py")
	for _, name := range []string{"alder", "birch"} {
		s := load(b, name)
		begun := time.Now()
		ready := picture.Prepare(large(s))
		prepare := time.Since(begun)
		for _, id := range slices.Sorted(maps.Keys(s.After)) {
			b.Run(name+"/"+id, func(b *testing.B) {
				dress := s.Dress(id)
				out, err := ready.Render(dress)
				if err != nil {
					b.Fatal(err)
				}
				p.beside(b, 5, func() { ready.RenderOver(out, dress) }, "render", "(goal<1000)", "warp", "(goal<0.7)")
				b.ReportMetric(prepare.Seconds(), "s-prepare(goal<5)")
			})
		}
	}
}

// BenchmarkPreview changes the scheme of a preview, 1600 x 1200: what a person waits
// for, the layout and the JPEG included.
func BenchmarkPreview(b *testing.B) {
	s := load(b, "birch")
	j, open, err := s.Job(`[{"id":"A","zones":[{"id":"f","walls":"all","where":"rest","panel":"dutch-double-5","texture":"smooth","colour":"slate"}],"trim_colour":"bone"},
		{"id":"B","zones":[{"id":"f","walls":"all","where":"rest","panel":"lap-double-4","texture":"grain","colour":"barn"}]}]`)
	if err != nil {
		b.Fatal(err)
	}
	f, err := picture.FitAt(j, j.Photos[0], open, 1600)
	if err != nil {
		b.Fatal(err)
	}
	look := func(b *testing.B, of func(n int) picture.Look) {
		before, n, least := spent(), 0, math.Inf(1)
		for b.Loop() {
			begun := time.Now()
			im, err := f.PaintAs(j, of(n))
			if err != nil {
				b.Fatal(err)
			}
			if _, err := picture.JPEG(im, 88); err != nil {
				b.Fatal(err)
			}
			least = min(least, milliseconds(begun))
			n++
		}
		b.ReportMetric(least, "ms-least(goal<100)")
		b.ReportMetric((spent()-before)/float64(n), "cpu-ms/picture")
	}
	b.Run("scheme", func(b *testing.B) {
		look(b, func(n int) picture.Look { return picture.Look{Scheme: []string{"A", "B"}[n%2]} })
	})
	b.Run("sun", func(b *testing.B) {
		look(b, func(n int) picture.Look {
			return picture.Look{Scheme: "A", Sun: &picture.Sun{Azimuth: 90 + float64(n%180), Elevation: 40}}
		})
	})
}
