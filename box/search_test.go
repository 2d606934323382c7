package box

import (
	"testing"

	"coilwright/measure"
	"coilwright/steel"
)

// Whatever the search tries, rules given up and sections never become more, nor do
// joints once sections are settled, and what it takes out comes back to its place.
func TestSearchNeverLoses(t *testing.T) {
	var strips []Strip
	var mine []int
	for k := range 24 {
		strips = append(strips, Strip{Course: k + 1, Length: measure.Length(7*(k%5)+14) * measure.Foot}, Strip{Wall: 1, Course: k + 1, Length: measure.Length(37+11*(k%7)) * measure.Inch})
		mine = append(mine, 2*k, 2*k+1)
	}
	m := newModel(strips, mine, 12*measure.Foot, RulesOf(&steel.Book{}, measure.Sixteenth))
	s := newSearch(m, m.bound())
	s.begin(m.orders()[2])
	s.blink = true
	for n := range 4000 {
		s.saving, s.heat = n < 2000, int64(n%5)*1000
		before := s.rank(false)
		s.step()
		s.slides()
		after := s.rank(false)
		if after[0] > before[0] || after[1] > before[1] || !s.saving && after[0] == before[0] && after[1] == before[1] && after[2] > before[2] {
			t.Fatalf("step %d: %v became %v", n, before, after)
		}
	}
	sections, joints := 0, 0
	for _, b := range s.bins {
		if b.open {
			sections++
		}
	}
	for i := range s.laid {
		joints += len(s.laid[i].joints)
	}
	if sections != s.sections || joints != s.joints {
		t.Errorf("%d sections and %d joints; the search counts %d and %d", sections, joints, s.sections, s.joints)
	}
}
