package server

import (
	"context"

	"coilwright/solid"
)

func (s *Server) registerSolid() {
	body := operation("GET", "/api/jobs/{job}/schemes/{scheme}/house.glb", "get-body", "schemes",
		"The whole house in a scheme as a body to turn around, glTF 2.0: an illustration; approve a physical sample", 404)
	body.Responses = binary("The body, model/gltf-binary")
	body.Responses["304"] = notModified
	handle(s, body, s.getBody)
}

// getBody gives the house as a body. It is made once for each content of a job.
func (s *Server) getBody(ctx context.Context, in *SchemeIn) (*kept, error) {
	j, done, err := s.worked(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	if same(in.IfNoneMatch, etag(j)) {
		return &kept{Status: 304, ETag: etag(j)}, nil
	}
	if err := done.sound(); err != nil {
		return nil, err
	}
	if _, err := done.job.Scheme(in.Scheme); err != nil {
		return nil, refuse(404, "The job has no scheme of that id.")
	}
	file, err := work(done, "body "+in.Scheme, func() ([]byte, error) {
		m, err := solid.Of(&done.job, in.Scheme)
		if err != nil {
			return nil, err
		}
		return m.GLB()
	})
	if err != nil {
		return nil, err
	}
	return &kept{Status: 200, ETag: etag(j), Type: "model/gltf-binary", Body: file}, nil
}
