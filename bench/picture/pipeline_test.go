package picture

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"coilwright/bench"
	"coilwright/photo"
	"coilwright/picture"
)

// BenchmarkPipeline12MP goes from JPEG to JPEG at 12 megapixels: the file read, a scheme
// painted on a photo made ready before, the file written. Beside it OpenCV reads, warps,
// blends and writes the same file at the same quality with as many threads, in turn.
// Both times are the least of several.
func BenchmarkPipeline12MP(b *testing.B) {
	s := load(b, "birch")
	big := large(s)
	dir := b.TempDir()
	name, file := photoFile(b, dir, big)
	p := startPeer(b, "pipeline.py", name, dir)
	ready, dress := picture.Prepare(big), s.Dress("lap4")
	p.beside(b, 3, func() { through(b, ready, dress, file, filepath.Join(dir, "ours.jpg")) }, "jpeg-to-jpeg", "", "peer", "(goal<1.5)")
}

// through reads a photo's file, paints over it and writes the picture's.
func through(b *testing.B, ready *picture.Prepared, dress []picture.Dressing, file []byte, name string) {
	b.Helper()
	shot, err := photo.Decode(file)
	if err != nil {
		b.Fatal(err)
	}
	if err := ready.RenderOver(shot.Image, dress); err != nil {
		b.Fatal(err)
	}
	out, err := picture.EncodeJPEG(shot.Image, file)
	if err != nil {
		b.Fatal(err)
	}
	if err := os.WriteFile(name, out, 0o600); err != nil {
		b.Fatal(err)
	}
}

// photoFile writes a photo as its camera would, coded in one go, and gives the file's
// name and bytes.
func photoFile(b *testing.B, dir string, p picture.Photo) (string, []byte) {
	b.Helper()
	var file bytes.Buffer
	if err := jpeg.Encode(&file, p.Image, &jpeg.Options{Quality: picture.Quality}); err != nil {
		b.Fatal(err)
	}
	name := filepath.Join(dir, "before.jpg")
	if err := os.WriteFile(name, file.Bytes(), 0o600); err != nil {
		b.Fatal(err)
	}
	return name, file.Bytes()
}

// BenchmarkPeak12MP runs the program's own command on a photo of 12 megapixels, from the
// job's file to the picture's, its preparation included, and reports the most memory
// that it held.
func BenchmarkPeak12MP(b *testing.B) {
	s := load(b, "birch")
	dir := b.TempDir()
	photoFile(b, dir, large(s))
	job, err := s.document(`[{"id":"A","zones":[{"id":"f","walls":"all","where":"rest","panel":"dutch-double-5","texture":"grain","colour":"slate"}],"trim_colour":"bone"}]`, blown)
	if err != nil {
		b.Fatal(err)
	}
	at, program := filepath.Join(dir, "job.json"), filepath.Join(dir, "coilwright")
	if err := os.WriteFile(at, job, 0o600); err != nil {
		b.Fatal(err)
	}
	if out, err := exec.Command("go", "build", "-o", program, "coilwright/cmd/coilwright").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	most := 0
	for b.Loop() {
		said, err := exec.Command(bench.Python, "peak.py", program, "picture", at, "--photo", "front", "--scheme", "A", "-o", filepath.Join(dir, "out.jpg")).Output()
		if err != nil {
			b.Fatal(err)
		}
		var kib int
		fmt.Sscan(string(said), &kib)
		most = max(most, kib)
	}
	b.ReportMetric(float64(most)/1024, "peak-MiB(goal<600)")
}
