package server

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"coilwright/job"
)

type drawIn struct {
	JobPath
	Body struct {
		Walls []string `json:"walls,omitempty" nullable:"false" maxItems:"100" doc:"Left out: every wall that the photos measure"`
	}
}

// PhotoDrawingView is a change that draws measured walls into the job. It is not
// made yet: the page sends it like any other, so that it can be undone.
type PhotoDrawingView struct {
	Revision int64         `json:"revision" doc:"Of the job that it was worked out for"`
	What     string        `json:"what"`
	Walls    []string      `json:"walls"`
	Patch    []PatchOp     `json:"patch"`
	Kept     []KeptView    `json:"kept" doc:"Tape numbers that stay"`
	Notes    []string      `json:"notes"`
	Lacking  []LackingView `json:"lacking"`
}

// KeptView is a tape number that stays, beside the photo's.
type KeptView struct {
	Wall    string `json:"wall"`
	Opening string `json:"opening,omitempty"`
	What    string `json:"what"`
	Kept    string `json:"kept"`
	Photo   string `json:"photo"`
	Agrees  bool   `json:"agrees" doc:"They differ by no more than both plus-minus allow"`
}

type drawOut struct{ Body *PhotoDrawingView }

func (s *Server) registerPhotoDraw() {
	handle(s, operation("POST", "/api/jobs/{job}/photos/walls", "draw-walls", "photos",
		"The change that makes or renews walls from the job's marked photos; tape numbers stay", 404), s.drawWalls)
}

func (s *Server) drawWalls(ctx context.Context, in *drawIn) (*drawOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	full, err := s.store.Job(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	done, err := s.workOf(ctx, w.Shop, full)
	if err != nil {
		return nil, err
	}
	marked, lacking, err := s.marksOf(ctx, w, in.Job, &done.job, nil)
	if err != nil {
		return nil, err
	}
	solved, short, err := s.solvePhotos(ctx, marked)
	if err != nil {
		return nil, err
	}
	drawing, err := done.job.DrawFromPhotos(full.Document, solved, in.Body.Walls)
	if err != nil {
		return nil, err
	}
	v := &PhotoDrawingView{Revision: full.Revision, Walls: append([]string{}, drawing.Walls...), Patch: []PatchOp{}, Kept: []KeptView{}, Notes: append([]string{}, drawing.Notes...), Lacking: lacking.Lacking}
	v.What = strings.Join(drawing.Walls, ", ") + " drawn from photos"
	for _, l := range short {
		v.Lacking = append(v.Lacking, LackingView{l.Photo, l.Where, l.What, l.Mend})
	}
	for _, k := range drawing.Kept {
		v.Kept = append(v.Kept, KeptView(k))
	}
	v.Patch, err = patchOf(drawing.Ops)
	return &drawOut{v}, err
}

func patchOf(ops []job.PatchOp) ([]PatchOp, error) {
	out := []PatchOp{}
	for _, o := range ops {
		one := PatchOp{Op: o.Op, Path: o.Path}
		if o.Op != "remove" {
			value, err := json.Marshal(o.Value)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", o.Path, err)
			}
			one.Value = value
		}
		out = append(out, one)
	}
	return out, nil
}
