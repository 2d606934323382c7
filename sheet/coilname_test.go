package sheet

import (
	"testing"

	"coilwright/measure"
)

// A coil is called by its name; one to buy by its colour, whatever stands in that.
func TestCoilName(t *testing.T) {
	s := &set{}
	for want, c := range map[string]Coil{
		"C-9":                                  {ID: "C-9", Colour: "slate", Length: 500 * measure.Foot},
		"new, slate 500.0 ft (to buy)":         {ID: "new-slate-500ft-1", Colour: "slate", Bought: true, Nth: 1, Length: 500 * measure.Foot},
		"new no. 2, slate 500.0 ft (to buy)":   {ID: "new-slate-500ft-2", Colour: "slate", Bought: true, Nth: 2, Length: 500 * measure.Foot},
		"new, soft-white 90.0 ft (to buy)":     {ID: "new-soft-white-90ft-1", Colour: "soft-white", Bought: true, Nth: 1, Length: 90 * measure.Foot},
		"new, any colour 1000.0 ft (to buy)":   {ID: "new--1000ft-1", Bought: true, Nth: 1, Length: 1000 * measure.Foot},
		"new no. 3, left-bank 2.0 ft (to buy)": {ID: "new-left-bank-2ft-3", Colour: "left-bank", Bought: true, Nth: 3, Length: 2 * measure.Foot},
	} {
		if got := s.coilName(c); got != want {
			t.Errorf("%s: %q, want %q", c.ID, got, want)
		}
	}
}
