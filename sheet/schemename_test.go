package sheet

import (
	"testing"

	"coilwright/scheme"
)

// TestSchemeName: a scheme that is called after its letter alone is said once.
func TestSchemeName(t *testing.T) {
	for want, s := range map[string]scheme.Scheme{
		"scheme A":                   {ID: "A", Title: "Scheme A"},
		"scheme B":                   {ID: "B"},
		"scheme C Dutch lap, slate":  {ID: "C", Title: "Dutch lap, slate"},
		"scheme D Scheme A, cheaper": {ID: "D", Title: "Scheme A, cheaper"},
	} {
		if got := schemeName(&s); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
