package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"io"

	"github.com/bep/imagemeta"

	"coilwright/cores"
)

// Limits on a picture file, against files made to fill memory: 100 megabytes of
// file, 64 million pixels (the largest that common phones store by default is 50),
// 30,000 pixels a side.
const (
	MaxFile   = 100 << 20
	MaxPixels = 64_000_000
	MaxSide   = 30_000
)

// Picture is a photo as read: upright, 8 bits a colour, without transparency.
type Picture struct {
	Image *image.RGBA
	Meta  Meta
}

// ErrPicture is matched by every error of Decode.
var ErrPicture = errors.New("not a picture that can be used")

// PictureError says why a file cannot be used as a photo, and the mend.
type PictureError struct{ What, Mend string }

func (e *PictureError) Error() string { return e.What + "; " + e.Mend }

// Unwrap makes errors.Is true for ErrPicture.
func (e *PictureError) Unwrap() error { return ErrPicture }

// Decode reads a JPEG (grey, colour or CMYK) or PNG (8 or 16 bits) and turns it
// upright. Its declared size is checked before a pixel is read. Errors are
// *PictureError.
func Decode(data []byte) (Picture, error) {
	kind, size, meta, err := head(data)
	if err != nil {
		return Picture{}, err
	}
	// A picture packs a thousand pixels into a byte only where it is one flat area.
	if size.X*size.Y > 1_000_000+1000*len(data) {
		return Picture{}, &PictureError{fmt.Sprintf("the file is too small for the %d x %d pixels that it promises", size.X, size.Y), "copy it again from the camera"}
	}
	img, err := kind.decode(data)
	if err != nil {
		return Picture{}, broken(err)
	}
	return Picture{upright(img, meta.Orientation), meta}, nil
}

// Describe gives a picture's size in pixels once it is upright, and what its
// camera wrote, without reading its pixels. Errors are as of Decode.
func Describe(data []byte) (width, height int, meta Meta, err error) {
	_, size, meta, err := head(data)
	if err != nil {
		return 0, 0, Meta{}, err
	}
	if meta.Orientation >= 5 {
		size.X, size.Y = size.Y, size.X
	}
	return size.X, size.Y, meta, nil
}

// head reads what stands before the pixels: format, size as stored, metadata.
func head(data []byte) (kind, image.Point, Meta, error) {
	if len(data) > MaxFile {
		return kind{}, image.Point{}, Meta{}, &PictureError{fmt.Sprintf("the file is larger than %d MB", MaxFile>>20), "save it smaller"}
	}
	k, err := kindOf(data)
	if err != nil {
		return k, image.Point{}, Meta{}, err
	}
	config, err := k.config(bytes.NewReader(data))
	if err != nil {
		return k, image.Point{}, Meta{}, broken(err)
	}
	w, h := config.Width, config.Height
	if w < 1 || h < 1 {
		return k, image.Point{}, Meta{}, &PictureError{fmt.Sprintf("the picture says it is %d x %d pixels", w, h), "copy it again from the camera"}
	}
	if w > MaxSide || h > MaxSide || w*h > MaxPixels {
		return k, image.Point{}, Meta{}, &PictureError{fmt.Sprintf("the picture says it is %d x %d pixels, more than %d million", w, h, MaxPixels/1_000_000), "save it smaller"}
	}
	return k, image.Pt(w, h), readMeta(data, k.meta, w, h), nil
}

// kind is a file format that is read.
type kind struct {
	config func(io.Reader) (image.Config, error)
	decode func([]byte) (*image.RGBA, error)
	meta   imagemeta.ImageFormat
}

// kindOf tells the format by the file's first bytes, whatever its name says.
func kindOf(data []byte) (kind, error) {
	starts := func(at int, s string) bool { return len(data) >= at+len(s) && string(data[at:at+len(s)]) == s }
	switch {
	case starts(0, "\xff\xd8\xff"):
		return kind{jpeg.DecodeConfig, decodeJPEG, imagemeta.JPEG}, nil
	case starts(0, "\x89PNG\r\n\x1a\n"):
		return kind{png.DecodeConfig, decodePNG, imagemeta.PNG}, nil
	case starts(4, "ftyphei"), starts(4, "ftyphev"), starts(4, "ftypmif1"), starts(4, "ftypmsf1"), starts(4, "ftypavif"):
		return kind{}, &PictureError{"this is a HEIC or AVIF picture", "set the phone's camera to store JPEG, or save the picture as JPEG"}
	case starts(0, "RIFF") && starts(8, "WEBP"), starts(0, "GIF8"), starts(0, "BM"), starts(0, "II*\x00"), starts(0, "MM\x00*"):
		return kind{}, &PictureError{"this kind of picture is not read", "save it as JPEG or PNG"}
	case starts(0, "%PDF"):
		return kind{}, &PictureError{"this is a PDF, not a photo", "save the photo itself as JPEG"}
	case len(data) == 0:
		return kind{}, &PictureError{"the file is empty", "copy it again from the camera"}
	}
	return kind{}, &PictureError{"this is not a picture", "give a photo as JPEG or PNG"}
}

func decodePNG(data []byte) (*image.RGBA, error) { return decodeWhole(data, png.Decode) }

// decodeWhole reads a picture in one go, by the library.
func decodeWhole(data []byte, decode func(io.Reader) (image.Image, error)) (*image.RGBA, error) {
	img, err := decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	return flat(img), nil
}

// broken says why a decoder gave up.
func broken(err error) error {
	var odd jpeg.UnsupportedError
	switch {
	case errors.As(err, &odd):
		return &PictureError{"this JPEG is of a kind that is not read (" + string(odd) + ")", "open it in a picture program and save it as JPEG"}
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return &PictureError{"the picture breaks off", "copy it again from the camera"}
	}
	return &PictureError{"the picture is damaged (" + err.Error() + ")", "copy it again from the camera"}
}

// flat gives the image as RGBA from (0, 0), on white where it is transparent.
func flat(img image.Image) *image.RGBA {
	b := img.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	op := draw.Src
	if o, ok := img.(interface{ Opaque() bool }); ok && !o.Opaque() {
		for i := range out.Pix {
			out.Pix[i] = 0xff
		}
		op = draw.Over
	}
	drawBands(out, img, op)
	return out
}

// drawnRows is how many rows are drawn at a time.
const drawnRows = 64

// drawBands draws a picture into one of its size, on all processors.
func drawBands(out *image.RGBA, img image.Image, op draw.Op) {
	from := img.Bounds().Min
	cores.Bands(out.Rect.Dy(), drawnRows, func(top, end int) {
		draw.Draw(out, image.Rect(0, top, out.Rect.Dx(), end), img, from.Add(image.Pt(0, top)), op)
	})
}

// upright applies an EXIF orientation: 2 mirrors, 3 turns half round, 4 mirrors
// upside down, 5 to 8 also change width and height (EXIF 2.32, tag 0x0112).
func upright(img *image.RGBA, orientation int) *image.RGBA {
	if orientation <= 1 || orientation > 8 {
		return img
	}
	w, h := img.Rect.Dx(), img.Rect.Dy()
	size := image.Rect(0, 0, w, h)
	if orientation >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range h {
		for x := range w {
			u, v := x, y
			switch orientation {
			case 2:
				u = w - 1 - x
			case 3:
				u, v = w-1-x, h-1-y
			case 4:
				v = h - 1 - y
			case 5:
				u, v = y, x
			case 6:
				u, v = h-1-y, x
			case 7:
				u, v = h-1-y, w-1-x
			case 8:
				u, v = y, w-1-x
			}
			copy(out.Pix[v*out.Stride+4*u:][:4], img.Pix[y*img.Stride+4*x:][:4])
		}
	}
	return out
}

// shareQuality is the JPEG quality of pictures that leave the shop.
const shareQuality = 92

// ForSharing gives the picture as a JPEG that holds nothing but its pixels: where,
// when and with what it was taken stays in the shop.
func (p Picture) ForSharing() ([]byte, error) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, p.Image, &jpeg.Options{Quality: shareQuality}); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
