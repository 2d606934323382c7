package server

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"coilwright/change"
	"coilwright/examples"
	"coilwright/store"
)

type hctx = huma.Context

var hidden = huma.Operation{Method: http.MethodGet, Path: "/openapi.json", Hidden: true}

// TemplateView is one template house.
type TemplateView struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	About string `json:"about"`
	View  *View  `json:"view" doc:"The house, to draw small"`
}

type templatesOut struct {
	Body struct {
		Templates []TemplateView `json:"templates"`
	}
}

func (s *Server) listTemplates(ctx context.Context, _ *struct{}) (*templatesOut, error) {
	if _, err := who(ctx); err != nil {
		return nil, err
	}
	out := &templatesOut{}
	for _, t := range examples.Templates {
		text, _ := examples.Template(t.ID)
		done, err := s.desk.at(ctx, "", store.Job{Hash: store.Hash(text), Document: text}, nil)
		if err != nil {
			return nil, err
		}
		out.Body.Templates = append(out.Body.Templates, TemplateView{t.ID, t.Title, t.About, done.view})
	}
	return out, nil
}

// blank is a job with nothing measured yet.
const blank = `{"format":"coilwright/job@1","title":"New job","units":"imperial","install_temp_f":60,` +
	`"house":{"walls":[],"corners":[],"photos":[]},` +
	`"schemes":[{"id":"A","title":"Scheme A","zones":[{"id":"field","walls":"all","where":"rest","panel":"dutch-double-5","texture":"grain","colour":"slate"}],` +
	`"frieze":"0","trim_colour":"bone","datum":{"between":["-1 in","1 in"]}}],"shop":{"use":"demo"}}`

// startOf gives the document that a new job begins with, and words for its history.
func startOf(title, template string, file json.RawMessage) ([]byte, string, error) {
	text, what := []byte(blank), "Begun blank"
	switch {
	case template != "" && file != nil:
		return nil, "", refuse(http.StatusUnprocessableEntity, "Give a template or a document, not both.")
	case file != nil:
		text, what = file, "Begun from a file"
	case template != "":
		house, ok := examples.Template(template)
		if !ok {
			return nil, "", refuse(http.StatusUnprocessableEntity, "There is no template house of that id; GET /api/templates lists them.")
		}
		text, what = house, "Begun from the template house "+template
	}
	if title == "" {
		return text, what, nil
	}
	if !bytes.HasPrefix(bytes.TrimSpace(text), []byte("{")) {
		return nil, "", refuse(http.StatusUnprocessableEntity, "A job file is a JSON object.")
	}
	named, err := json.Marshal(title)
	if err != nil {
		return nil, "", err
	}
	done, err := change.Apply(text, change.Patch{{Op: change.Add, Path: "/title", Value: named}})
	return done.Document, what, err
}
