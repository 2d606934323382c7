package job

import (
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"coilwright/offer"
	"coilwright/price"
)

// A job with its book in place works out to the same estimate, cent for cent.
func TestCompleteWorksOutTheSame(t *testing.T) {
	text, err := os.ReadFile("../examples/alder.json")
	if err != nil {
		t.Fatal(err)
	}
	complete, err := Complete("alder", text, nil)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(complete), `"use"`) {
		t.Error("the book is still named, not in place")
	}
	j, found := Parse("complete", complete, nil)
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	first := example(t, "alder")
	for _, s := range j.Schemes {
		a, err := first.Price(s.ID)
		if err != nil {
			t.Fatal(err)
		}
		b, err := j.Price(s.ID)
		if err != nil || !reflect.DeepEqual(a, b) {
			t.Errorf("scheme %s: %v: %s and %s", s.ID, err, a.Total, b.Total)
		}
	}
	again, err := Complete("again", complete, nil)
	if err != nil || string(again) != string(complete) {
		t.Error("completing twice changes something", err)
	}
}

func TestFreeze(t *testing.T) {
	j := example(t, "alder")
	o, err := j.Freeze("A", Frozen{Complete: []byte("{}"), Revision: 3, Kind: offer.First, Until: time.Unix(0, 0)})
	if err != nil {
		t.Fatal(err)
	}
	e, err := j.Price("A")
	if err != nil || o.Total != e.Total.String() || len(o.Payments) != 3 || len(o.Pieces) == 0 || o.Hours == "0.00" {
		t.Errorf("%v %+v", err, o.Total)
	}
	text, err := o.Text()
	if err != nil {
		t.Fatal(err)
	}
	for _, private := range []string{"margin", "overhead", "hanger_hour"} { // the shop's own costs stay its own
		if strings.Contains(string(text), private) {
			t.Errorf("what the owner signs tells %s", private)
		}
	}
	var back offer.Offer
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if a, _ := o.Digest(); true {
		if b, _ := back.Digest(); a != b {
			t.Error("an offer read back has another digest")
		}
	}
	// A notch that moves by a nanometre is another piece.
	if p := j.House.Walls[0].Openings[0].Outline; true {
		for k := range p {
			p[k].X++
		}
	}
	moved, err := j.Freeze("A", Frozen{Complete: []byte("{}"), Kind: offer.First})
	if err != nil {
		t.Fatal(err)
	}
	if c, err := offer.Difference(o, moved); err != nil || len(c.Altered) == 0 {
		t.Errorf("a moved window alters nothing: %+v %v", c, err)
	}
}

// Each thing missing is named; so is a price of nothing.
func TestNotReady(t *testing.T) {
	j := example(t, "alder")
	j.Offer.Cancellation = ""
	delete(j.Prices.Prices, "starter_ft")
	_, err := j.Freeze("A", Frozen{})
	var not *NotReadyError
	if !errors.As(err, &not) || !errors.Is(err, ErrNotReady) || len(not.Lacks) != 2 || not.Lacks[0].Key != "starter_ft" || not.Lacks[1].Key != "offer.cancellation" {
		t.Errorf("%v", err)
	}
	if lacks := j.Lacks(price.Estimate{}); lacks[0].Key != "total" {
		t.Errorf("a price of nothing: %v", lacks)
	}
}
