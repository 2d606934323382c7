package draw

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"image"
	"image/jpeg"

	"codeberg.org/go-pdf/fpdf"
	xdraw "golang.org/x/image/draw"
)

// Image is a photograph on the page: baseline or progressive JPEG, stretched to At.
// Alt says in words what is seen. Where bytes must not change from run to run, the
// pictures of one document differ in their width in pixels: the PDF library orders
// them by it, and equal ones as it happens.
type Image struct {
	At   Rect
	JPEG []byte
	Alt  string
}

func (Image) item() {}

// Photo makes a picture small enough for paper: at most so many pixels along its
// longer side. w and h are its pixels then; only the pixels go into the JPEG.
func Photo(img image.Image, most int) (data []byte, w, h int, err error) {
	b := img.Bounds()
	w, h = b.Dx(), b.Dy()
	if w < 1 || h < 1 || most < 1 {
		return nil, 0, 0, fmt.Errorf("a picture of %d x %d pixels cannot be shown", w, h)
	}
	if w, h = PhotoSize(w, h, most); w != b.Dx() || h != b.Dy() {
		small := image.NewRGBA(image.Rect(0, 0, w, h))
		xdraw.ApproxBiLinear.Scale(small, small.Bounds(), img, b, xdraw.Src, nil)
		img = small
	}
	var out bytes.Buffer
	err = jpeg.Encode(&out, img, &jpeg.Options{Quality: 80})
	return out.Bytes(), w, h, err
}

// PhotoSize is what w x h pixels become when the longer side has at most so many.
func PhotoSize(w, h, most int) (int, int) {
	if longer := max(w, h); longer > most {
		return max(1, w*most/longer), max(1, h*most/longer)
	}
	return w, h
}

// Within is the largest rectangle of the proportion w to h in the middle of r.
func (r Rect) Within(w, h float64) Rect {
	k := min(r.W/w, r.H/h)
	return Rect{r.X + (r.W-k*w)/2, r.Y + (r.H-k*h)/2, k * w, k * h}
}

func pdfImage(f *fpdf.Fpdf, i Image) {
	sum := sha256.Sum256(i.JPEG)
	name := hex.EncodeToString(sum[:])
	o := fpdf.ImageOptions{ImageType: "JPG"}
	if f.GetImageInfo(name) == nil {
		f.RegisterImageOptionsReader(name, o, bytes.NewReader(i.JPEG))
	}
	f.ImageOptions(name, i.At.X, i.At.Y, i.At.W, i.At.H, false, o, 0, "")
}

func (w *svgWriter) image(i Image) {
	fmt.Fprintf(&w.b, `<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" href="data:image/jpeg;base64,%s"><title>%s</title></image>`+"\n",
		num(i.At.X), num(i.At.Y), num(i.At.W), num(i.At.H), base64.StdEncoding.EncodeToString(i.JPEG), escape(i.Alt))
}
