package server_test

import "testing"

// phoneMark is one mark as a phone sends it.
func phoneMark(id string, count int, kind, piece string) map[string]any {
	return map[string]any{"id": id, "count": count, "device": "phone", "by": "AB", "at": "2026-05-04T09:00:00Z", "kind": kind, "piece": piece}
}

// marksBody is what a phone sends.
func marksBody(after string, marks ...map[string]any) map[string]any {
	return map[string]any{"after": after, "device": "phone", "scheme": "A", "marks": marks}
}

// TestFirstPiece: the first piece is formed, spoiled, and comes off another coil.
func TestFirstPiece(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	p := s.want(200, "GET", job+"/schemes/A/site", nil)
	first, coil := at(p, "setups", 0, "reels", 0, "pieces", 0).(string), at(p, "setups", 0, "reels", 0, "coil").(string)
	got := s.want(200, "POST", job+"/marks", marksBody("", phoneMark("m-1", 1, "loaded", coil), phoneMark("m-2", 2, "formed", first), phoneMark("m-3", 3, "spoiled", first)))
	if len(got["accepted"].([]any)) != 3 || len(got["refused"].([]any)) != 0 || got["restart"] != false {
		t.Errorf("marks: %v", got)
	}
	now := s.want(200, "GET", job+"/schemes/A/site/progress", nil)
	if at(now, "counts", "spoiled") != 1.0 || at(now, "counts", "formed") != 0.0 || now["cursor"] != got["cursor"] {
		t.Errorf("progress: %v", now["counts"])
	}
	again := s.want(200, "POST", job+"/schemes/A/site/recut", `{}`)
	if at(again, "given", 0, "piece") != first || at(again, "given", 0, "how") == "buy" {
		t.Errorf("recut: %v", again["given"])
	}
}
