package server_test

import (
	"encoding/binary"
	"testing"
)

// TestBody: the whole house comes as a glTF 2.0 binary, once for each content of a job.
func TestBody(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.want(201, "POST", "/api/jobs", map[string]string{"template": "ranch"})["id"].(string)
	scheme := at(s.want(200, "GET", job, nil), "document", "schemes", 0, "id").(string)
	got := s.do("GET", job+"/schemes/"+scheme+"/house.glb", nil)
	if got.Status != 200 || got.Header.Get("Content-Type") != "model/gltf-binary" || len(got.Body) < 1000 {
		t.Fatalf("%d %s, %d bytes", got.Status, got.Header.Get("Content-Type"), len(got.Body))
	}
	// glTF 2.0, 4.4.2: magic, version, length.
	if string(got.Body[:4]) != "glTF" || binary.LittleEndian.Uint32(got.Body[4:]) != 2 || int(binary.LittleEndian.Uint32(got.Body[8:])) != len(got.Body) {
		t.Errorf("no glTF 2.0 binary: % x", got.Body[:12])
	}
	if again := s.do("GET", job+"/schemes/"+scheme+"/house.glb", nil, "If-None-Match", got.Header.Get("ETag")); again.Status != 304 {
		t.Errorf("asked for again: %d", again.Status)
	}
	if none := s.do("GET", job+"/schemes/nowhere/house.glb", nil); none.Status != 404 {
		t.Errorf("a scheme that is not there: %d", none.Status)
	}
}
