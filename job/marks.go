package job

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"coilwright/document"
	"coilwright/photo"
	"coilwright/problem"
)

// MarksFormat is the file of marks on a photo that this program reads.
const MarksFormat = "coilwright/marks@1"

// The fields that marks may have; the JSON Schema lists the same.
var (
	marksFields         = []string{"format", "photo", "points", "walls", "lengths", "straight", "corners"}
	markedPhotoFields   = []string{"file", "focal_px", "width", "height"}
	markedWallFields    = []string{"id", "outline", "level", "plumb", "openings", "free"}
	markedOpeningFields = []string{"id", "kind", "corners", "free"}
	markedLengthFields  = []string{"between", "length", "plus_minus"}
	markedCornerFields  = []string{"between", "kind", "square"}
)

// ReadMarks reads the marks file at path and, for its size and what the camera
// wrote, the photo beside it. Where the list is Fatal they are not to be used.
func ReadMarks(path string) (photo.Marks, problem.List) {
	data, err := document.Load(path)
	if err != nil {
		return photo.Marks{}, problem.List{fileProblem(path, err)}
	}
	return ParseMarks(path, data, func(relative string) ([]byte, error) {
		if !filepath.IsAbs(relative) {
			relative = filepath.Join(filepath.Dir(path), relative)
		}
		return LoadPhoto(relative)
	})
}

// LoadPhoto reads a photo's file, but never more than may be decoded.
func LoadPhoto(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, photo.MaxFile+1))
}

// ParseMarks reads marks from their text; name is what errors call them, open
// serves the photo.
func ParseMarks(name string, data []byte, open Open) (photo.Marks, problem.List) {
	return parseMarks(name, data, "", open)
}

func parseMarks(name string, data []byte, picture string, open Open) (photo.Marks, problem.List) {
	file, err := document.Parse(name, data)
	if err != nil {
		return photo.Marks{}, problem.List{fileProblem(name, err)}
	}
	found := &document.Findings{Main: name}
	r := &marksReader{found: found, open: open, file: picture}
	r.marks(file.Read(found))
	return r.out, found.List()
}

// Marks reads the marks of a job's photo, which stand in the job or in a file of
// their own; open serves that file and the photo. Where a photo has none the
// answer has no walls and the list is empty.
func (p Photo) Marks(open Open) (photo.Marks, problem.List) {
	var entry struct{ Marks json.RawMessage }
	if err := json.Unmarshal(p.Raw, &entry); err != nil || len(entry.Marks) == 0 || string(entry.Marks) == "null" {
		return photo.Marks{}, nil
	}
	name, data := "marks of photo "+p.ID, []byte(entry.Marks)
	if err := json.Unmarshal(entry.Marks, &name); err == nil { // a text: it names the file
		if data, err = open(name); err != nil {
			return photo.Marks{}, problem.List{{Severity: problem.Error, Where: name, What: "the marks cannot be opened: " + unpathed(err), Mend: "put the file there, or mark the photo again"}}
		}
	}
	return parseMarks(name, data, p.File, open)
}

type marksReader struct {
	found *document.Findings
	open  Open
	file  string // the photo that is marked, where the marks do not name one
	out   photo.Marks
}

func (r *marksReader) marks(v document.Value) {
	if !v.IsObject() {
		v.Errorf("write an object with format, photo, points and walls", "marks are a JSON object")
		return
	}
	o := v.Object(marksFields)
	if f := o.Need("format"); f.Present() && f.Text() != MarksFormat {
		f.Errorf("write \""+MarksFormat+"\", or use the program that made this file", "this file is of another format than %s", MarksFormat)
		return
	}
	r.out.Points = map[string]photo.Pixel{}
	for _, p := range o.Need("points").Map() {
		x, y := p.Pair()
		r.out.Points[p.Name()] = photo.Pixel{U: x.Number(-1e6, 1e6), V: y.Number(-1e6, 1e6)}
	}
	walls := newIDs("wall")
	for i, w := range o.Need("walls").List() {
		r.wall(i, w, walls)
	}
	for _, l := range o.Get("lengths").List() {
		r.length(l)
	}
	for _, s := range o.Get("straight").List() {
		r.out.Straight = append(r.out.Straight, texts(s))
	}
	for _, c := range o.Get("corners").List() {
		k := c.Object(markedCornerFields)
		a, b := k.Need("between").Pair()
		corner := photo.MarkedCorner{Between: [2]string{a.ID(), b.ID()}, Outside: true, Square: k.Get("square").Bool()}
		if kind := k.Get("kind"); kind.Present() {
			corner.Outside = kind.OneOf("kind of corner", cornerNames) != "inside"
		}
		r.out.Corners = append(r.out.Corners, corner)
	}
	before := r.found.Errors()
	p := o.Get("photo")
	if !p.Present() && r.file == "" {
		o.Need("photo")
	}
	if before == 0 {
		r.photo(o.Value, p.Object(markedPhotoFields))
	}
}

func (r *marksReader) wall(i int, v document.Value, walls ids) {
	o := v.Object(markedWallFields)
	w := photo.MarkedWall{ID: walls.take(o, i, true), Outline: texts(o.Need("outline")), Free: o.Get("free").Bool()}
	for _, l := range o.Get("level").List() {
		w.Level = append(w.Level, texts(l))
	}
	for _, l := range o.Get("plumb").List() {
		w.Plumb = append(w.Plumb, texts(l))
	}
	openings := newIDs("opening of a wall")
	for k, p := range o.Get("openings").List() {
		q := p.Object(markedOpeningFields)
		opening := photo.MarkedOpening{ID: openings.take(q, k, true), Kind: "window", Corners: texts(q.Need("corners")), Free: q.Get("free").Bool()}
		if kind := q.Get("kind"); kind.Present() {
			opening.Kind = kind.OneOf("kind of opening", openingNames)
		}
		w.Openings = append(w.Openings, opening)
	}
	r.out.Walls = append(r.out.Walls, w)
}

func (r *marksReader) length(v document.Value) {
	o := v.Object(markedLengthFields)
	a, b := o.Need("between").Pair()
	r.out.Lengths = append(r.out.Lengths, photo.KnownLength{
		Between: [2]string{a.ID(), b.ID()}, Length: o.Need("length").Length(document.Size), PlusMinus: o.Get("plus_minus").Length(document.Depth)})
}

func texts(v document.Value) []string {
	var out []string
	for _, t := range v.List() {
		out = append(out, t.ID())
	}
	return out
}

// photo finds the picture's size and focal length: from the file itself, or as
// the marks state them. Findings about the file stand where it is named, or at the
// marks as a whole.
func (r *marksReader) photo(whole document.Value, o document.Object) {
	at, name := o.Get("file"), r.file
	if at.Present() || name == "" {
		at = o.Need("file")
		name = at.ID()
	} else {
		at = whole
	}
	if name == "" {
		return
	}
	r.out.Focal = o.Get("focal_px").Number(0, 1e7)
	r.out.Width, r.out.Height = o.Get("width").Int(1, photo.MaxSide), o.Get("height").Int(1, photo.MaxSide)
	stated := r.out.Width > 0 && r.out.Height > 0
	data, err := r.open(name)
	if err != nil {
		if !stated {
			at.Errorf("put the photo there, or state its width and height in pixels", "the photo cannot be opened: %s", unpathed(err))
		}
		return
	}
	w, h, meta, err := photo.Describe(data)
	var bad *photo.PictureError
	switch {
	case errors.As(err, &bad):
		at.Errorf(bad.Mend, "%s", bad.What)
		return
	case stated && (w != r.out.Width || h != r.out.Height):
		at.Errorf("mark this photo itself, or correct width and height", "the photo is %d x %d pixels, the marks say %d x %d", w, h, r.out.Width, r.out.Height)
		return
	}
	r.out.Width, r.out.Height = w, h
	for _, n := range meta.Notes {
		at.Warnf("nothing to do, but a tape number more would help", "%s", n)
	}
	if r.out.Focal == 0 {
		r.out.Focal, r.out.FocalSigma = meta.Focal, meta.FocalSigma
	}
	if r.out.Focal == 0 {
		at.Warnf("give focal_px if it is known, or measure one height and one width", "the photo does not say its focal length: it is found from the walls' own lines")
	}
}

// unpathed is an error without the machine's path in it.
func unpathed(err error) string {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

// marksProblem says a *photo.MarksError as a finding.
func marksProblem(err error, photos int) problem.Problem {
	var bad *photo.MarksError
	if errors.As(err, &bad) {
		return problem.Problem{Severity: problem.Error, Where: "$." + inPhoto(bad.Photo, photos) + bad.Where, What: bad.What, Mend: bad.Mend}
	}
	return problem.Problem{Severity: problem.Error, Where: "$", What: fmt.Sprint(err), Mend: "check the marks"}
}
