package server

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"coilwright/job"
	"coilwright/offer"
	"coilwright/proposal"
	"coilwright/store"
)

// RenderedView is a picture of the house wearing an option.
type RenderedView struct {
	Picture int    `json:"picture" doc:"Which of the pictures it was made from, from 1"`
	Option  int    `json:"option" doc:"Which of the options it wears, from 1"`
	Caption string `json:"caption"`
}

// Bounds of what goes into one offer.
const (
	mostRendered  = 6
	renderedWidth = 1600 // pixels: 200 to the inch over the page
)

// onlyAnIllustration stands under every rendered picture.
const onlyAnIllustration = "an illustration; approve a physical sample"

// rendered are pictures of one scheme, each made from one of the plain ones.
type rendered struct {
	picture, option int
	scheme, title   string
	bytes           []byte
}

func (r rendered) name() string {
	return fmt.Sprintf("worn-%d-%d As it would be, %s: %s.jpg", r.picture, r.option, strings.Map(fileLetter, r.title), onlyAnIllustration)
}

// fileLetter keeps what a file's name may hold and a caption needs.
func fileLetter(r rune) rune {
	if r < ' ' || strings.ContainsRune("/\\", r) {
		return ' '
	}
	return r
}

// render dresses the offer's pictures in each of its schemes, as far as they are
// marked and there is room. A photo that cannot be dressed stands as it is.
func (s *Server) render(ctx context.Context, w store.Who, id string, j *job.Job, schemes []string, plain []store.Content) ([]rendered, error) {
	var out []rendered
	for i, c := range plain {
		_, file, _ := strings.Cut(c.Name, " ")
		n := slices.IndexFunc(j.Photos, func(p job.Photo) bool { return strings.TrimPrefix(p.File, "./") == file })
		if n < 0 {
			continue
		}
		for k, scheme := range schemes {
			if len(out) == mostRendered {
				return out, nil
			}
			data, err := s.pictureOf(ctx, w.Shop, id, j.Photos[n].ID, scheme, renderedWidth)
			var own *Refusal
			if errors.As(err, &own) || errors.Is(err, store.ErrNotFound) {
				s.log.Info("a photo is offered as it is", "job", id, "photo", j.Photos[n].ID, "why", err)
				break
			}
			if err != nil {
				return nil, err
			}
			at, err := j.Scheme(scheme)
			if err != nil {
				return nil, err
			}
			title := j.Schemes[at].Title
			if title == "" {
				title = "scheme " + scheme
			}
			out = append(out, rendered{i + 1, k + 1, scheme, title, data})
		}
	}
	return out, nil
}

// digests are those of the pictures that wear a scheme: what is signed names them.
func digests(all []rendered, scheme string) []string {
	var out []string
	for _, r := range all {
		if r.scheme == scheme {
			out = append(out, offer.Sum(r.bytes))
		}
	}
	return out
}

// photoFile begins the names of photos that the page adds: the rest tells of their
// content, which says nothing to a person.
const photoFile = "photo-"

// plainCaption stands under an offer's picture of the house as it is.
func plainCaption(name string) string {
	number, file, _ := strings.Cut(strings.TrimPrefix(name, "picture-"), " ")
	if strings.HasPrefix(file, photoFile) {
		return "As it is, photo " + number
	}
	return proposal.Caption(name)
}

// renderedOf lists an offer's dressed pictures.
func (s *Server) renderedOf(ctx context.Context, shop string, o store.Offer) ([]RenderedView, []store.File, error) {
	files, err := s.store.Files(ctx, shop, o.Job, offerFolder(o.ID)+"worn-")
	out := []RenderedView{}
	for _, f := range files {
		name := strings.TrimPrefix(f.Name, offerFolder(o.ID))
		v := RenderedView{}
		if _, err := fmt.Sscanf(name, "worn-%d-%d ", &v.Picture, &v.Option); err != nil {
			return nil, nil, fmt.Errorf("the picture %s of offer %s has a name of another program: %w", name, o.ID, err)
		}
		_, v.Caption, _ = strings.Cut(strings.TrimSuffix(name, ".jpg"), " ")
		out = append(out, v)
	}
	return out, files, err
}

func (s *Server) ownerRendered(ctx context.Context, in *struct {
	OwnerPath
	Number int `path:"number" minimum:"1" maximum:"100"`
	Option int `path:"option" minimum:"1" maximum:"100"`
},
) (*fileOut, error) {
	o, shop, err := s.opened(ctx, in.Token)
	if err != nil {
		return nil, err
	}
	views, files, err := s.renderedOf(ctx, shop, o)
	if err != nil {
		return nil, err
	}
	n := slices.IndexFunc(views, func(v RenderedView) bool { return v.Picture == in.Number && v.Option == in.Option })
	if n < 0 {
		return nil, store.ErrNotFound
	}
	return s.sendFile(ctx, shop, o.Job, files[n].Name, "as-it-would-be.jpg", false)
}

// paperRendered are the dressed pictures for the offer's paper: of all options, or of
// the one that was signed.
func (s *Server) paperRendered(ctx context.Context, shop string, o store.Offer) (map[int][]proposal.Picture, error) {
	views, files, err := s.renderedOf(ctx, shop, o)
	if err != nil {
		return nil, err
	}
	options, err := optionsOf(o)
	if err != nil {
		return nil, err
	}
	out := map[int][]proposal.Picture{}
	for i, v := range views {
		if o.Signed != "" && (v.Option > len(options) || options[v.Option-1].Digest != o.Signed) {
			continue
		}
		data, err := s.bytesOf(ctx, shop, o.Job, files[i].Name)
		if err != nil {
			return nil, err
		}
		p, err := proposal.PictureOf(data, v.Caption)
		if err != nil {
			return nil, err
		}
		out[v.Picture] = append(out[v.Picture], p)
	}
	return out, nil
}

// logoOf is the picture of a job's letterhead; a lost one leaves the papers without.
func (s *Server) logoOf(ctx context.Context, shop string, j *job.Job) *proposal.Picture {
	hash := j.Offer.Letterhead.Logo
	if hash == "" {
		return nil
	}
	c, err := s.store.ShopFile(ctx, shop, hash)
	if err == nil {
		var p proposal.Picture
		if p, err = proposal.PictureOf(c.Bytes, ""); err == nil {
			return &p
		}
	}
	s.log.Warn("the letterhead's picture cannot be shown", "hash", hash, "error", err)
	return nil
}

func (s *Server) ownerLogo(ctx context.Context, in *OwnerPath) (*fileOut, error) {
	o, shop, err := s.opened(ctx, in.Token)
	if err != nil {
		return nil, err
	}
	w, err := s.frozenJob(ctx, o)
	if err != nil {
		return nil, err
	}
	return s.logo(ctx, shop, w.job.Offer.Letterhead.Logo)
}
