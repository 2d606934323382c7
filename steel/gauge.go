package steel

import "coilwright/measure"

// NominalWeight is a weight in lb/ft2 on the basis of the Manufacturers' Standard
// Gauge table, 41.82 lb/ft2 per inch of thickness. It names a gauge; it is not
// what the sheet weighs.
type NominalWeight float64

// PhysicalWeight is what sheet weighs, in lb/ft2, by its density. The two types do
// not mix: on 1000 ft2 of 26 gauge the table says 750 lb and the scale 731.
type PhysicalWeight float64

// Weights per inch of thickness, in lb/ft2.
const (
	nominalPerInch  = 41.82        // Manufacturers' Standard Gauge
	physicalPerInch = 0.2836 * 144 // density of steel x 144 in2
	ouncesPerPound  = 16
)

// NominalOf is the table's weight of bare sheet of thickness t.
func NominalOf(t measure.Length) NominalWeight {
	return NominalWeight(nominalPerInch * t.Inches())
}

// PhysicalOf is the weight of bare sheet of thickness t.
func PhysicalOf(t measure.Length) PhysicalWeight {
	return PhysicalWeight(physicalPerInch * t.Inches())
}

// CoatedOf is the weight of galvanized sheet: base metal of thickness t and a
// coating in oz/ft2, the total of both sides. Paint is not in it.
func CoatedOf(t measure.Length, coating float64) PhysicalWeight {
	return PhysicalOf(t) + PhysicalWeight(coating/ouncesPerPound)
}

// Gauge is one row of the gauge table.
type Gauge struct {
	Number            int
	Base              measure.Length // Manufacturers' Standard, bare
	Nominal           NominalWeight
	Galvanized        measure.Length // historic nominal: with 2.5 oz/ft2 of zinc
	GalvanizedNominal NominalWeight
}

// Gauges is the Manufacturers' Standard Gauge table, 22 to 30, for reading a
// number that somebody says; gauges differ by table and the spread of galvanized
// sheet is +/- 0.003 in, so nothing is bought or cut from it. Thickness and bare
// weight as the standard table prints them; galvanized weight is bare + 2.5 oz/ft2.
func Gauges() []Gauge {
	rows := []Gauge{
		{Number: 22, Base: tenthMils(299), Nominal: 1.250, Galvanized: tenthMils(336)},
		{Number: 23, Base: tenthMils(269), Nominal: 1.125, Galvanized: tenthMils(306)},
		{Number: 24, Base: tenthMils(239), Nominal: 1.000, Galvanized: tenthMils(276)},
		{Number: 25, Base: tenthMils(209), Nominal: 0.875, Galvanized: tenthMils(247)},
		{Number: 26, Base: tenthMils(179), Nominal: 0.750, Galvanized: tenthMils(217)},
		{Number: 27, Base: tenthMils(164), Nominal: 0.6875, Galvanized: tenthMils(202)},
		{Number: 28, Base: tenthMils(149), Nominal: 0.625, Galvanized: tenthMils(187)},
		{Number: 29, Base: tenthMils(135), Nominal: 0.5625, Galvanized: tenthMils(172)},
		{Number: 30, Base: tenthMils(120), Nominal: 0.500, Galvanized: tenthMils(157)},
	}
	for i := range rows {
		rows[i].GalvanizedNominal = rows[i].Nominal + 2.5/ouncesPerPound
	}
	return rows
}

func tenthMils(n int64) measure.Length { return measure.Length(n) * measure.Inch / 10_000 }

// Coating is a zinc designation of ASTM A653/A653M-15, Table 1: least weights by
// the triple-spot test of both sides and of one, and by the single spot of both.
type Coating struct {
	Name                   string
	Both, OneSide, OneSpot float64 // oz/ft2 for G names, g/m2 for Z names
	Metric                 bool
}

// Coatings lists the designations that siding coil comes in. G and Z names are
// near one another but not interchangeable (0.90 oz/ft2 is 274.5 g/m2, not 275).
func Coatings() []Coating {
	return []Coating{
		{"G30", 0.30, 0.10, 0.25, false},
		{"G40", 0.40, 0.12, 0.30, false},
		{"G60", 0.60, 0.20, 0.50, false},
		{"G90", 0.90, 0.32, 0.80, false},
		{"G100", 1.00, 0.36, 0.90, false},
		{"G115", 1.15, 0.40, 1.00, false},
		{"Z180", 180, 60, 150, true},
		{"Z275", 275, 94, 235, true},
	}
}

// gramsPerOunce turns oz/ft2 into g/m2 as the zinc trade rounds it (x 305).
const gramsPerOunce = 305

// GramsPerSquareMetre turns a coating weight in oz/ft2 into g/m2.
func GramsPerSquareMetre(ozPerSquareFoot float64) float64 { return ozPerSquareFoot * gramsPerOunce }

// Thickness of the coating, both sides together: 1.00 oz/ft2 is 1.68 mil and
// 7.14 g/m2 is 1 micrometre (ASTM A653).
func (c Coating) Thickness() measure.Length {
	if c.Metric {
		return measure.FromMillimetres(c.Both / 7.14 / 1000)
	}
	return measure.FromInches(c.Both * 1.68 / 1000)
}

// Basis says what a thickness is the thickness of. Where nobody has said, ask:
// ASTM A924 speaks of the total (from memory), gauge tables of the base.
type Basis string

// The two bases.
const (
	Total Basis = "total" // base metal and its zinc coating
	Base  Basis = "base"  // base metal alone
)
