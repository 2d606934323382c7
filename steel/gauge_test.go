package steel

import (
	"testing"

	"coilwright/measure"
)

// The gauge table as printed: thickness from a public sheet-metal gauge chart;
// weights 22 to 30 bare and 22 to 25 galvanized from two printed tables; the other
// galvanized weights are bare + 2.5 oz; physical weights are 40.838 x t.
func TestGauges(t *testing.T) {
	want := []struct {
		number            int
		base              string
		nominal, physical float64
		galvanized        string
		coated, mm        float64
	}{
		{22, "0.0299", 1.250, 1.2211, "0.0336", 1.406, 0.759},
		{23, "0.0269", 1.125, 1.0986, "0.0306", 1.281, 0.683},
		{24, "0.0239", 1.000, 0.9760, "0.0276", 1.156, 0.607},
		{25, "0.0209", 0.875, 0.8535, "0.0247", 1.031, 0.531},
		{26, "0.0179", 0.750, 0.7310, "0.0217", 0.906, 0.455},
		{27, "0.0164", 0.6875, 0.6697, "0.0202", 0.844, 0.417},
		{28, "0.0149", 0.625, 0.6085, "0.0187", 0.781, 0.378},
		{29, "0.0135", 0.5625, 0.5513, "0.0172", 0.719, 0.343},
		{30, "0.0120", 0.500, 0.4901, "0.0157", 0.656, 0.305},
	}
	got := Gauges()
	if len(got) != len(want) {
		t.Fatalf("%d rows, want %d", len(got), len(want))
	}
	for i, w := range want {
		g := got[i]
		if g.Number != w.number || g.Base != in(t, w.base) || g.Galvanized != in(t, w.galvanized) || float64(g.Nominal) != w.nominal {
			t.Errorf("row %d: %+v", w.number, g)
		}
		near(t, "physical", float64(PhysicalOf(g.Base)), w.physical, 0.00005)
		near(t, "galvanized", float64(g.GalvanizedNominal), w.coated, 0.0006) // printed cut or rounded to 0.001
		near(t, "mm", float64(g.Base)/float64(measure.Millimetre), w.mm, 0.0006)
		// Historic nominal: + 0.0037 in (0.00375 printed elsewhere) and 0.156 lb/ft2.
		near(t, "zinc of the table, in", (g.Galvanized - g.Base).Inches(), 0.0037, 0.00011)
		near(t, "table basis", float64(NominalOf(g.Base)), w.nominal, 0.003) // printed thickness is rounded
		if i > 0 && (g.Base >= got[i-1].Base || g.Galvanized >= got[i-1].Galvanized) {
			t.Errorf("gauge %d is not thinner than gauge %d", g.Number, got[i-1].Number)
		}
	}
}

// The basis of the Manufacturers' Standard: 10 gauge, 0.1345 in, 5.625 lb/ft2
// (a public table of the weight of sheet steel).
func TestNominalBasis(t *testing.T) {
	near(t, "10 gauge", float64(NominalOf(in(t, "0.1345"))), 5.625, 0.001)
}

// The trap: 1000 ft2 of 26 gauge are 750 lb by the table and 731 on the scale.
func TestTwoBases(t *testing.T) {
	g := Gauges()[4]
	nominal, physical := 1000*float64(g.Nominal), 1000*float64(PhysicalOf(g.Base))
	near(t, "table", nominal, 750, 0.5)
	near(t, "scale", physical, 731, 0.5)
	share := 41.82/40.838 - 1
	if share < 0.023 || share > 0.025 {
		t.Errorf("the bases differ by %.4f", share)
	}
	near(t, "same trap in our types", float64(NominalOf(g.Base))/float64(PhysicalOf(g.Base))-1, share, 1e-4)
}

// Weight of coated sheet 40.838 t + oz/16, by hand, +/- 0.0005; thickness is of
// the base metal.
func TestCoatedWeight(t *testing.T) {
	for _, c := range []struct {
		base string
		oz   float64
		want float64
	}{{"0.0179", 0.60, 0.7685}, {"0.0179", 0.90, 0.7873}, {"0.0135", 0.60, 0.5888}, {"0.0135", 0.90, 0.6076}} {
		near(t, c.base, float64(CoatedOf(in(t, c.base), c.oz)), c.want, 0.0005)
	}
}

// ASTM A653/A653M-15, Table 1, and its rule 1.00 oz/ft2 = 1.68 mil, 7.14 g/m2 = 1 um.
func TestCoatings(t *testing.T) {
	thick := map[string]float64{"G60": 1.008, "G90": 1.512} // mil, both sides
	rows := map[string][3]float64{
		"G30": {0.30, 0.10, 0.25}, "G40": {0.40, 0.12, 0.30}, "G60": {0.60, 0.20, 0.50}, "G90": {0.90, 0.32, 0.80},
		"G100": {1.00, 0.36, 0.90}, "G115": {1.15, 0.40, 1.00}, "Z180": {180, 60, 150}, "Z275": {275, 94, 235},
	}
	for _, c := range Coatings() {
		if rows[c.Name] != [3]float64{c.Both, c.OneSide, c.OneSpot} || c.Metric != (c.Name[0] == 'Z') {
			t.Errorf("%+v", c)
		}
		if want, ok := thick[c.Name]; ok {
			near(t, c.Name, c.Thickness().Inches()*1000, want, 5e-5) // rounded to a nanometre
		}
		delete(rows, c.Name)
		if c.Name == "Z275" {
			near(t, c.Name, float64(c.Thickness())/1000, 38.5, 0.05) // um
		}
	}
	if len(rows) != 0 {
		t.Errorf("missing: %v", rows)
	}
	near(t, "0.90 oz/ft2", GramsPerSquareMetre(0.90), 274.5, 1e-9) // galvanizers' note 1.1
	near(t, "0.60 oz/ft2", GramsPerSquareMetre(0.60), 183, 1e-9)
}

// +/- 0.003 in of galvanized sheet is 14 % of 26 gauge and 17 % of 29 gauge: why
// weight never follows from a gauge.
func TestGaugeSpread(t *testing.T) {
	near(t, "26", 0.003/Gauges()[4].Galvanized.Inches(), 0.14, 0.005)
	near(t, "29", 0.003/Gauges()[7].Galvanized.Inches(), 0.17, 0.005)
}
