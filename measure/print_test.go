package measure

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// feetText writes a length the long way, for tests to read back.
func feetText(feet, inches, num, den int64) string {
	return fmt.Sprintf(`%d' %d %d/%d"`, feet, inches, num, den)
}

func TestText(t *testing.T) {
	for _, c := range []struct {
		l                Length
		imperial, metric string
	}{
		{0, `0"`, "0 mm"},
		{7*Foot + 5*Inch + 6*Sixteenth, `7' 5 3/8"`, "2270.125 mm"},
		{2270 * Millimetre, "89.37007874 in", "2270 mm"},
		{-16 * Inch, `-1' 4"`, "-406.4 mm"},
		{6*Foot + 6*Sixteenth, `6' 3/8"`, "1838.325 mm"},
		{32 * Foot, `32'`, "9753.6 mm"},
		{Inch / 64, `1/64"`, "0.396875 mm"},
		{-Inch / 2, `-1/2"`, "-12.7 mm"},
		{11*Inch + 63*Inch/64, `11 63/64"`, "304.403125 mm"},
		{1, "0.000000039 in", "0.000001 mm"},
		{-1, "-0.000000039 in", "-0.000001 mm"},
		{1200 * Millimetre, "47.244094488 in", "1200 mm"}, // zeros before the point stay
	} {
		if got := c.l.Text(Imperial); got != c.imperial {
			t.Errorf("%d nm: %s, want %s", c.l, got, c.imperial)
		}
		if got := c.l.Text(Metric); got != c.metric {
			t.Errorf("%d nm: %s, want %s", c.l, got, c.metric)
		}
	}
}

func TestNear(t *testing.T) {
	l := 7*Foot + 5*Inch + 6*Sixteenth + 100
	if got := l.Near(Imperial, Sixteenth); got != `7' 5 3/8"` {
		t.Errorf("near a sixteenth: %s", got)
	}
	if got := l.Near(Metric, Millimetre); got != "2270 mm" {
		t.Errorf("near a millimetre: %s", got)
	}
}

func TestUnitsText(t *testing.T) {
	if Imperial.String() != "imperial" || Metric.String() != "metric" {
		t.Errorf("%v %v", Imperial, Metric)
	}
}

// TestTextReadsBack draws lengths on the grids where people work and off them.
func TestTextReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		grid := rapid.SampledFrom([]Length{1, sixtyFourth, Sixteenth, Inch, Foot, Millimetre, Metre}).Draw(t, "grid")
		readsBack(t, anyLength(t, "l").FloorTo(grid)+grid)
	})
}

// FuzzTextReadsBack is the same for whatever the fuzzer finds.
func FuzzTextReadsBack(f *testing.F) {
	for _, l := range []Length{0, 1, -1, Inch / 64, -16 * Inch, Metre, MaxHouse, MaxCoil, -MaxCoil, MaxCoil - 1} {
		f.Add(int64(l))
	}
	f.Fuzz(func(t *testing.T, nm int64) { readsBack(t, Length(nm%int64(MaxCoil))) })
}

func readsBack(t interface {
	Helper()
	Fatalf(string, ...any)
}, l Length,
) {
	t.Helper()
	if l.Abs() > MaxCoil {
		return
	}
	for _, u := range []Units{Imperial, Metric} {
		text := l.Text(u)
		if back, err := ParseLength(text); err != nil || back != l {
			t.Fatalf("%d nm is %s, which reads back as %d (%v)", l, text, back, err)
		}
	}
}

// FuzzParse: no text panics; what is read is in range and prints to a text that
// means the same; turning the sign turns the answer.
func FuzzParse(f *testing.F) {
	for _, c := range accepted {
		f.Add(c.text)
	}
	for _, c := range refused {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, err := ParseLength(text)
		if err != nil {
			if l != 0 || !strings.Contains(err.Error(), "not a length") {
				t.Fatalf("%q: %d with %v", text, l, err)
			}
			return
		}
		if l.Abs() > MaxCoil {
			t.Fatalf("%q: %d nm is out of range", text, l)
		}
		readsBack(t, l)
		if turned, ok := strings.CutPrefix(strings.TrimSpace(text), "-"); ok {
			if m, err := ParseLength(turned); err != nil || m != -l {
				t.Fatalf("%q is %d but %q is %d (%v)", text, l, turned, m, err)
			}
		}
	})
}

// FuzzNumber: no number panics or takes more than its own size to read.
func FuzzNumber(f *testing.F) {
	for _, text := range []string{"0", "-16", "89.375", "1e2", "1e-999", "1e999999999", "1e308", "0x1p5", "1/2", "NaN", "-", "1e+-5"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if l, err := LengthFromNumber(text); err == nil && l.Abs() > MaxCoil {
			t.Fatalf("%q: %d nm is out of range", text, l)
		}
	})
}
