package picture

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/draw"
	_ "image/jpeg" // masks may be either
	_ "image/png"

	"coilwright/job"
	"coilwright/photo"
)

// Fitted is one photo of a job, its light found: any scheme of the job can be
// painted on it. It holds the house as it was when the photo was fitted.
type Fitted struct {
	Prepared *Prepared
	Walls    []int // of each wall in the photo, its index in the house
	Original []byte
	Notes    []string // what was assumed, for a person
	Scale    float64  // prepared pixels for a pixel of the upright photo, 1 or less
}

// ErrNotMarked is matched where nobody has marked the photo.
var ErrNotMarked = errors.New("nobody has marked this photo: mark the wall's corners and one measured length on it first")

// Fit reads a photo of a job with its marks and mask, solves its camera and finds its
// light. open serves the files that the job names.
func Fit(j *job.Job, entry job.Photo, open job.Open) (*Fitted, error) {
	return FitAt(j, entry, open, 0)
}

// FitAt is Fit for a preview: the photo is prepared at a width of at most so many
// pixels, 0 for its own. All places in it, such as those of At, are pixels of that
// size: Scale tells how they stand to the photo's.
func FitAt(j *job.Job, entry job.Photo, open job.Open, width int) (*Fitted, error) {
	original, err := open(entry.File)
	if err != nil {
		return nil, fmt.Errorf("the photo %s cannot be opened: %w", entry.File, err)
	}
	shot, err := photo.Decode(original)
	if err != nil {
		return nil, fmt.Errorf("the photo %s: %w", entry.File, err)
	}
	solved, err := solution(entry, original, open)
	if err != nil {
		return nil, err
	}
	mask, err := readMask(entry.Mask, open)
	if err != nil {
		return nil, err
	}
	facts, err := FactsOf(entry.Raw)
	if err != nil {
		return nil, err
	}
	full := shot.Image.Rect
	if err := fits(mask, full); err != nil {
		return nil, err
	}
	small := Photo{Image: shot.Image, Camera: solved.Cameras[0], Mask: mask}.Scaled(width)
	scale := float64(small.Image.Rect.Dx()) / float64(full.Dx())
	taken, err := Take(small.Image, small.Mask, small.Camera, solved.Walls, j.House, facts.scaled(scale))
	if err != nil {
		return nil, err
	}
	return &Fitted{Prepare(taken.Photo), taken.Walls, original, taken.Notes, scale}, nil
}

// Picture paints a scheme of the job and gives the picture and its JPEG file.
func (f *Fitted) Picture(j *job.Job, scheme string) (*image.RGBA, []byte, error) {
	im, err := f.Paint(j, scheme)
	if err != nil {
		return nil, nil, err
	}
	file, err := EncodeJPEG(im, f.Original)
	return im, file, err
}

// Paint paints a scheme of the job, laid out on the house as it is now.
func (f *Fitted) Paint(j *job.Job, scheme string) (*image.RGBA, error) {
	return f.PaintAs(j, Look{Scheme: scheme})
}

// solution solves the camera from the photo's marks, which stand in the entry or in
// a file of their own.
func solution(entry job.Photo, original []byte, open job.Open) (photo.Solution, error) {
	var e struct{ Marks json.RawMessage }
	if err := json.Unmarshal(entry.Raw, &e); err != nil {
		return photo.Solution{}, err
	}
	if len(e.Marks) == 0 || string(e.Marks) == "null" {
		return photo.Solution{}, fmt.Errorf("photo %s: %w", entry.ID, ErrNotMarked)
	}
	text, name := []byte(e.Marks), "marks of photo "+entry.ID
	var file string
	if json.Unmarshal(e.Marks, &file) == nil {
		var err error
		if text, err = open(file); err != nil {
			return photo.Solution{}, fmt.Errorf("the marks %s cannot be opened: %w", file, err)
		}
		name = file
	}
	// Whatever file the marks name, they are of this photo.
	marks, found := job.ParseMarks(name, text, func(string) ([]byte, error) { return original, nil })
	if err := found.Err(); err != nil {
		return photo.Solution{}, err
	}
	return photo.Solve(marks)
}

// readMask reads a mask, nil where the job names none.
func readMask(name string, open job.Open) (*image.Gray, error) {
	if name == "" {
		return nil, nil
	}
	data, err := open(name)
	if err != nil {
		return nil, fmt.Errorf("the mask %s cannot be opened: %w", name, err)
	}
	head, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err == nil && head.Width*head.Height > photo.MaxPixels {
		err = errors.New("it is too large")
	}
	var im image.Image
	if err == nil {
		im, _, err = image.Decode(bytes.NewReader(data))
	}
	if err != nil {
		return nil, fmt.Errorf("the mask %s cannot be used: %w; save it as PNG", name, err)
	}
	out := image.NewGray(image.Rect(0, 0, im.Bounds().Dx(), im.Bounds().Dy()))
	draw.Draw(out, out.Rect, im, im.Bounds().Min, draw.Src)
	return out, nil
}
