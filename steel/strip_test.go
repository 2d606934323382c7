package steel

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"coilwright/measure"
)

// in reads decimal inches exactly; the texts are those of the source tables.
func in(t testing.TB, text string) measure.Length {
	t.Helper()
	l, err := measure.ParseLength(text + " in")
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func number(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		panic(text)
	}
	return r
}

func float(r *big.Rat) float64 { f, _ := r.Float64(); return f }

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: %.8g, want %.8g within %g", what, got, want, tolerance)
	}
}

// Carbon steel is 7850 kg/m3 (a public steel-coil calculator); lb and inch by
// their international definitions.
func TestDensity(t *testing.T) {
	const kgPerPound, metrePerInch = 0.45359237, 0.0254
	d := float(DensityOfSteel())
	near(t, "kg/m3", d*kgPerPound/math.Pow(metrePerInch, 3), 7850, 1)
	near(t, "lb/ft2 per inch", d*144, 40.84, 0.005)
}

// Areas, lengths and weights of coils, computed by hand from A = pi/4 (OD2 - ID2),
// L = A/t, W = density w A (public coil calculators); 0.01 %.
func TestCoilFormulas(t *testing.T) {
	for _, c := range []struct {
		od, id, t, w        string
		feet, pounds, turns float64
	}{
		{od: "36", id: "20", t: "0.0190", w: "16", feet: 3086.48, pounds: 3193.2, turns: 421.05},
		{od: "48", id: "20", t: "0.0179", w: "24", feet: 6961.8, pounds: 10178.3, turns: 782.1},
		{od: "30", id: "16", t: "0.0135", w: "16", feet: 3122.2, pounds: 2295.1, turns: 14 / 0.027},
	} {
		l, err := CoilLengthFromDiameters(in(t, c.od), in(t, c.id), in(t, c.t))
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.od+" in coil, ft", l.Feet(), c.feet, c.feet*1e-4)
		perFoot := float(WeightPerFoot(in(t, c.t), in(t, c.w), DensityOfSteel()))
		near(t, c.od+" in coil, lb", perFoot*l.Feet(), c.pounds, c.pounds*1e-4)
		near(t, c.od+" in coil, turns", Wraps(in(t, c.od), in(t, c.id), in(t, c.t)), c.turns, c.turns*1e-4)
	}
}

// Laying 421 turns side by side: each is a circle through the strip's middle. The
// sum is 3085.98 ft; the formula differs by the part of the last turn (0.016 %).
func TestCoilTurnByTurn(t *testing.T) {
	var feet float64
	for i := range 421 {
		feet += math.Pi * (20 + 0.019*float64(2*i+1)) / 12
	}
	near(t, "sum of turns", feet, 3085.98, 0.01)
	l, err := CoilLengthFromDiameters(in(t, "36"), in(t, "20"), in(t, "0.019"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "formula", l.Feet(), feet, feet*0.0002)
}

func TestOuterDiameter(t *testing.T) {
	length, inner, thick := 1000*measure.Foot, in(t, "20"), in(t, "0.0190")
	od, err := OuterDiameter(length, inner, thick)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "1000 ft of 0.0190 in on 20 in", od.Inches(), 26.274, 0.001) // by hand
	back, err := CoilLengthFromDiameters(od, inner, thick)
	if err != nil {
		t.Fatal(err)
	}
	// A nanometre of diameter is pi OD / 2t nanometres of strip.
	slack := measure.Length(math.Pi*od.Inches()/(2*thick.Inches())) + 1
	if back > length || length-back > slack {
		t.Errorf("back from the diameter: %v, want %v less at most %d nm", back, length, slack)
	}
}

func TestCoilLengthFromWeight(t *testing.T) {
	l, err := CoilLengthFromWeight(number("2000"), in(t, "0.0179"), in(t, "16"), DensityOfSteel())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "2000 lb of 0.0179 x 16 in, ft", l.Feet(), 2051.96, 0.1) // by hand
	// 2.5 t of 125 x 0.8 mm strip: a question on an engineering forum; 3184.7 m at 7850 kg/m3.
	pounds := new(big.Rat).Quo(number("2500"), number("0.45359237"))
	density := new(big.Rat).Mul(number("7850"), new(big.Rat).Quo(number("0.000016387064"), number("0.45359237")))
	l, err = CoilLengthFromWeight(pounds, 800*measure.Millimetre/1000, 125*measure.Millimetre, density)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "2.5 t of 125 x 0.8 mm, m", float64(l)/float64(measure.Metre), 3184.7, 0.1)
}

func TestWeightPerFoot(t *testing.T) {
	got := WeightPerFoot(in(t, "0.0190"), in(t, "16"), DensityOfSteel())
	near(t, "lb per ft", float(got), 1.03457, 1e-4)
	if want := number("1.0345728"); got.Cmp(want) != 0 { // 0.2836 x 0.019 x 16 x 12
		t.Errorf("not exact: %v, want %v", got, want)
	}
}

// What must hold whatever the numbers are.
func TestCoilInvariants(t *testing.T) {
	od, id, thick := in(t, "36"), in(t, "20"), in(t, "0.019")
	l, _ := CoilLengthFromDiameters(od, id, thick)
	half, _ := CoilLengthFromDiameters(od, id, 2*thick)
	if d := l - 2*half; d < 0 || d > 2 {
		t.Errorf("twice the thickness: %d nm off half the length", d)
	}
	weight := func(t, w measure.Length) float64 {
		l, _ := CoilLengthFromDiameters(od, id, t)
		return float(WeightPerFoot(t, w, DensityOfSteel())) * l.Feet()
	}
	near(t, "weight whatever the thickness", weight(in(t, "0.0135"), 16*measure.Inch), weight(thick, 16*measure.Inch), 1e-8)
	near(t, "weight by width", weight(thick, 32*measure.Inch), 2*weight(thick, 16*measure.Inch), 1e-8)
	fill, err := Fill(l, number("0.98"))
	if err != nil || math.Abs(float64(fill)-0.98*float64(l)) > 1 {
		t.Errorf("filled to 98 %%: %v, %v", fill, err)
	}
}

func TestCoilRefuses(t *testing.T) {
	one := measure.Inch
	calls := map[string]error{}
	_, calls["no thickness"] = CoilLengthFromDiameters(30*one, 20*one, 0)
	_, calls["inside out"] = CoilLengthFromDiameters(20*one, 30*one, one/50)
	_, calls["endless"] = CoilLengthFromDiameters(measure.Metre*1000, one, 1)
	_, calls["huge"] = CoilLengthFromDiameters(math.MaxInt64, one, 1)
	_, calls["no weight"] = CoilLengthFromWeight(new(big.Rat), one/50, one, DensityOfSteel())
	_, calls["no density"] = CoilLengthFromWeight(number("1"), one/50, one, new(big.Rat))
	_, calls["no length"] = OuterDiameter(0, one, one/50)
	_, calls["overfull"] = Fill(one, number("1.01"))
	calls["typing error .0014"] = CheckThickness("29 gauge", in(t, "0.0014")) // printed so in one list on the web
	calls["gauge for thickness"] = CheckThickness("panel", 26*one)
	for name, err := range calls {
		var strip *StripError
		if !errors.Is(err, ErrStrip) || !errors.As(err, &strip) || strip.Place == "" || strip.Rule == "" || strip.Mend == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, g := range Gauges() {
		if err := CheckThickness("table", g.Base); err != nil {
			t.Error(err)
		}
	}
}
