package picture

import (
	"errors"
	"fmt"
	"image"
	"slices"

	"coilwright/course"
	"coilwright/job"
	"coilwright/photo"
)

// Look is how a photo is to be painted.
type Look struct {
	Scheme string
	// Sun is another place of the sun than the photo's own, nil for that: see
	// Prepared.Under for what it changes and what it cannot.
	Sun *Sun
	// Zones are the ids of the scheme's zones that are painted; elsewhere the photo
	// stays as it is, and no trim is drawn. Nil: all, and the trim.
	Zones []string
}

// ErrNoBearing is matched where the sun cannot be placed: nobody said where a wall
// faces.
var ErrNoBearing = errors.New("no wall in the photo says where it faces: give one of them its compass bearing (faces_deg), then the sun can be moved")

// UnknownZoneError is matched where a look names a zone that the scheme has not.
type UnknownZoneError struct{ Zone, Scheme string }

func (e *UnknownZoneError) Error() string {
	return fmt.Sprintf("scheme %s has no zone %q: name one of its zones", e.Scheme, e.Zone)
}

// PaintAs paints a scheme of the job, laid out on the house as it is now, as the look
// asks. Errors match ErrNoBearing, *UnknownZoneError and what the layout says.
func (f *Fitted) PaintAs(j *job.Job, look Look) (*image.RGBA, error) {
	outfit, err := outfitOf(j, look.Scheme)
	if err != nil {
		return nil, err
	}
	dress := outfit.Wear(f.Walls)
	if look.Zones != nil {
		if dress, err = outfit.wearOnly(f.Walls, look.Zones); err != nil {
			return nil, err
		}
	}
	p := f.Prepared
	if look.Sun != nil {
		towards, err := f.towards(j, *look.Sun)
		if err != nil {
			return nil, err
		}
		p = p.Under(towards)
	}
	return p.Render(dress)
}

// outfitOf lays a scheme out.
func outfitOf(j *job.Job, scheme string) (Outfit, error) {
	at, err := j.Scheme(scheme)
	if err != nil {
		return Outfit{}, err
	}
	layout, err := j.Layout(scheme, false)
	if err != nil {
		return Outfit{}, err
	}
	return Outfit{House: j.House, Scheme: j.Schemes[at], Book: &j.Book, Layout: layout}, nil
}

// wearOnly dresses the walls in the named zones alone.
func (o Outfit) wearOnly(walls []int, zones []string) ([]Dressing, error) {
	for _, id := range zones {
		if !slices.ContainsFunc(o.Layout.Zones, func(z course.ZoneOnWall) bool { return o.Scheme.Zones[z.Zone].ID == id }) {
			return nil, &UnknownZoneError{id, o.Scheme.ID}
		}
	}
	out := make([]Dressing, len(walls))
	for i, w := range walls {
		for _, z := range o.Layout.Zones {
			if z.Wall == w && len(z.Region) > 0 && slices.Contains(zones, o.Scheme.Zones[z.Zone].ID) {
				out[i] = append(out[i], o.Clad(z)...)
			}
		}
	}
	return out, nil
}

// towards is the direction to a sun in the camera's world.
func (f *Fitted) towards(j *job.Job, s Sun) (photo.Vec, error) {
	for i, k := range f.Walls {
		if k < len(j.House.Walls) && j.House.Walls[k].FacesDeg != nil {
			return f.Prepared.photo.Walls[i].world(s.Towards(*j.House.Walls[k].FacesDeg)), nil
		}
	}
	return photo.Vec{}, ErrNoBearing
}
