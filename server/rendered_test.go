package server_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"image/jpeg"
	"strings"
	"testing"
)

// The offer holds the photo as it is and wearing each option, frozen: what is signed
// names the digest of the picture that wears it, whatever becomes of the photo.
func TestRenderedOffer(t *testing.T) {
	s := here(t)
	p := s.alder()
	id := strings.TrimPrefix(p.job, "/api/jobs/")
	o := s.send(id, map[string]any{"schemes": []string{"A", "B"}})
	v := o.see()
	if len(v["pictures"].([]any)) != 1 || len(v["rendered"].([]any)) != 2 || !strings.Contains(at(v, "rendered", 0, "caption").(string), "an illustration; approve a physical sample") {
		t.Fatalf("%v %v", v["pictures"], v["rendered"])
	}
	worn := s.do("GET", o.owner+"/pictures/1/options/1", nil)
	if _, err := jpeg.Decode(bytes.NewReader(worn.Body)); err != nil || worn.Status != 200 {
		t.Fatalf("%d %v", worn.Status, err)
	}
	if plain := s.do("GET", o.owner+"/pictures/1", nil); plain.Status != 200 || bytes.Equal(plain.Body, worn.Body) {
		t.Error("the photo as it is, is as it would be")
	}
	if other := s.do("GET", o.owner+"/pictures/1/options/2", nil); bytes.Equal(other.Body, worn.Body) {
		t.Error("two options look alike")
	}
	s.want(404, "GET", o.owner+"/pictures/1/options/3", nil)
	list, err := s.store.Offers(t.Context(), "home", id)
	if err != nil {
		t.Fatal(err)
	}
	var kept []struct {
		Text struct{ Pictures []string }
	}
	if err := json.Unmarshal([]byte(list[0].Options), &kept); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(worn.Body)
	if len(kept[0].Text.Pictures) != 2 || kept[0].Text.Pictures[1] != hex.EncodeToString(sum[:]) || kept[1].Text.Pictures[1] == kept[0].Text.Pictures[1] {
		t.Errorf("digests %v, the picture's %x", kept[0].Text.Pictures, sum)
	}
	o.want(200, "POST", o.owner+"/signature", o.signature(0))
	p.change("remove", "/house/photos", nil)
	if again := s.do("GET", o.owner+"/pictures/1/options/1", nil); !bytes.Equal(again.Body, worn.Body) {
		t.Error("the signed picture changed with the job")
	}
	paper := s.do("GET", o.owner+"/paper", nil)
	paperOf(t, paper, "an illustration; approve a physical sample")
	if n := len(paper.Body); n > 6<<20 {
		t.Errorf("the paper has %d bytes", n)
	}
	t.Logf("paper of a photo and its picture: %d bytes", len(paper.Body))
}
