package server

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"coilwright/store"
)

// Limits of requests.
const (
	mostBody      = 4 << 20 // a job file; the largest that the format allows is smaller
	slowestUpload = 20 * time.Second
)

// newAPI makes the API on a mux; its description is generated from the code.
func newAPI(mux *http.ServeMux, version string) huma.API {
	c := huma.DefaultConfig("Coilwright", version)
	c.CreateHooks = nil // no $schema members in answers
	c.DocsPath, c.SchemasPath, c.OpenAPIPath = "", "", ""
	c.RejectUnknownQueryParameters = true
	c.Info.Description = "Jobs of seamless steel siding: the measured house, the schemes, every change, and what follows from them."
	c.Info.License = &huma.License{Name: "Apache-2.0", Identifier: "Apache-2.0"}
	c.Servers = []*huma.Server{{URL: "/", Description: "This server"}}
	c.Components.SecuritySchemes = map[string]*huma.SecurityScheme{
		"session": {Type: "apiKey", In: "cookie", Name: cookieName, Description: "Set by signing in. A program that only its own machine reaches needs none until there is an account."},
	}
	c.Security = []map[string][]string{{"session": {}}, {}}
	// Exact money is written as a JSON number.
	c.Components.Schemas.RegisterTypeAlias(reflect.TypeFor[json.Number](), reflect.TypeFor[float64]())
	return humago.New(mux, c)
}

// Description is the API as OpenAPI 3.1 JSON.
func Description(version string) ([]byte, error) {
	s := &Server{}
	mux := http.NewServeMux()
	s.api = newAPI(mux, version)
	s.register()
	return describe(s.api)
}

func describe(api huma.API) ([]byte, error) {
	text, err := json.Marshal(api.OpenAPI())
	if err != nil {
		return nil, err
	}
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	err = e.Encode(json.RawMessage(text))
	return []byte(b.String()), err
}

// register puts every operation on the API.
func (s *Server) register() {
	s.registerSession()
	s.registerJobs()
	s.registerChanges()
	s.registerHistory()
	s.registerSchemes()
	s.registerTape()
	s.registerPapers()
	s.registerSolid()
	s.registerFiles()
	s.registerPhotos()
	s.registerLive()
	s.registerBook()
	s.registerShopBook()
	s.registerLengths()
	s.registerOffers()
	s.registerSite()
	s.registerMarks()
	s.registerPictures()
	delete(s.api.OpenAPI().Components.Schemas.Map(), "ErrorModel") // the library's own, which ours stands in for
}

// operation names one operation; errors are the statuses it may refuse with.
func operation(method, path, id, tag, summary string, errors ...int) huma.Operation {
	return huma.Operation{
		OperationID: id, Method: method, Path: path, Summary: summary, Tags: []string{tag},
		MaxBodyBytes: mostBody, BodyReadTimeout: slowestUpload, Errors: append([]int{}, errors...),
	}
}

// handle registers an operation, its problems in our shape.
func handle[I, O any](s *Server, op huma.Operation, do func(context.Context, *I) (*O, error)) {
	changes := op.Method != http.MethodGet
	if changes {
		op.Parameters = append(op.Parameters, &huma.Param{
			Name: ownHeader, In: "header", Required: true, Description: "Always " + ownValue + ": guards against requests from other sites.",
			Schema: &huma.Schema{Type: huma.TypeString, Enum: []any{ownValue}},
		}, &huma.Param{
			Name: personHeader, In: "header", Description: "Whose change it is, percent-encoded: refused with 401 where somebody else is signed in.",
			Schema: &huma.Schema{Type: huma.TypeString},
		})
	}
	s.problems(&op, changes)
	huma.Register(s.api, op, func(ctx context.Context, in *I) (*O, error) {
		out, err := do(ctx, in)
		if err != nil {
			return nil, s.said(err)
		}
		return out, nil
	})
}

// problems describes what an operation refuses with. 401 and 503 may come from
// anywhere, 403 from whatever changes something.
func (s *Server) problems(op *huma.Operation, changes bool) {
	all := append(op.Errors, http.StatusBadRequest, http.StatusUnauthorized, http.StatusUnprocessableEntity, http.StatusInternalServerError, http.StatusServiceUnavailable)
	if changes {
		all = append(all, http.StatusForbidden, http.StatusInsufficientStorage)
	}
	op.Errors = nil
	if op.Responses == nil {
		op.Responses = map[string]*huma.Response{}
	}
	schema := s.api.OpenAPI().Components.Schemas.Schema(reflect.TypeFor[Refusal](), true, "Refusal")
	for _, status := range all {
		op.Responses[strconv.Itoa(status)] = &huma.Response{
			Description: http.StatusText(status), Content: map[string]*huma.MediaType{problemType: {Schema: schema}},
		}
	}
}

// answers describes an answer that is written as it was kept, not by huma.
func answers[T any](s *Server, op *huma.Operation, name string) {
	schema := s.api.OpenAPI().Components.Schemas.Schema(reflect.TypeFor[T](), true, name)
	if op.Responses == nil {
		op.Responses = map[string]*huma.Response{}
	}
	op.Responses["200"] = &huma.Response{Description: "OK", Content: map[string]*huma.MediaType{"application/json": {Schema: schema}}}
}

// kept is an answer in JSON that stands ready.
type kept struct {
	Status int
	ETag   string `header:"ETag"`
	Type   string `header:"Content-Type"`
	Body   []byte
}

func keptJSON(text []byte) *kept {
	return &kept{Status: http.StatusOK, Type: "application/json", Body: text}
}

// JobPath names a job.
type JobPath struct {
	Job string `path:"job" maxLength:"64" doc:"The job's id"`
}

// SchemePath names a scheme of a job.
type SchemePath struct {
	JobPath
	Scheme string `path:"scheme" maxLength:"200" doc:"The scheme's id"`
}

// etag is a revision as an entity tag.
func etag(j store.Job) string { return `"` + tagOf(j) + `"` }

// tagOf names a revision of a job by its number and its document, which another revision of
// that number has not: older data may have been put back.
func tagOf(j store.Job) string { return strconv.FormatInt(j.Revision, 10) + "-" + j.Hash }

// ifMatch reads the revision that a change was made for, and the hash of its document where it
// is said.
func ifMatch(header string) (revision int64, of string, err error) {
	if header == "" {
		return 0, "", refuse(http.StatusPreconditionRequired, `Say which revision the change was made for: If-Match: "12".`)
	}
	number, of, _ := strings.Cut(strings.Trim(strings.TrimPrefix(strings.TrimSpace(header), "W/"), `"`), "-")
	n, err := strconv.ParseInt(number, 10, 64)
	if err != nil || n < 1 {
		return 0, "", refuse(http.StatusPreconditionFailed, fmt.Sprintf("%.40q is no revision of a job.", header))
	}
	return n, of, nil
}

// same says whether an If-None-Match header holds a tag.
func same(header, tag string) bool {
	for part := range strings.SplitSeq(header, ",") {
		if part = strings.TrimPrefix(strings.TrimSpace(part), "W/"); part == tag || part == "*" {
			return true
		}
	}
	return false
}
