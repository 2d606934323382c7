package steel

import (
	"math/big"
	"testing"

	"coilwright/measure"
)

func moved(alpha *big.Rat, l measure.Length, dT int64) float64 {
	return float(Movement(alpha, l, big.NewRat(dT, 1))) / float64(measure.Inch)
}

// dL = alpha L dT (any physics text), by hand, +/- 0.0005 in. Aluminum 12.8e-6 and
// the ASTM D3679 limit of vinyl 4.5e-5 per F are from memory; only steel is ours.
func TestMovement(t *testing.T) {
	aluminum, vinyl := number("0.0000128"), number("0.000045")
	for _, c := range []struct {
		feet                   float64
		dT                     int64
		steel, aluminum, vinyl float64
	}{
		{10, 100, 0.0780, 0.1536, 0.540}, {12.5, 100, 0.0975, 0.1920, 0.675}, {20, 100, 0.1560, 0.3072, 1.080},
		{40, 100, 0.3120, 0.6144, 2.160}, {40, 120, 0.3744, 0.7373, 2.592}, {100, 100, 0.780, 1.536, 5.40},
	} {
		l := measure.FromInches(c.feet * 12)
		near(t, "steel", moved(AlphaOfSteel(), l, c.dT), c.steel, 0.0005)
		near(t, "aluminum", moved(aluminum, l, c.dT), c.aluminum, 0.0005)
		near(t, "vinyl", moved(vinyl, l, c.dT), c.vinyl, 0.0005)
		near(t, "colder", moved(AlphaOfSteel(), l, -c.dT), -c.steel, 0.0005)
	}
}

// Handbooks print 6.4e-6 to 7.2e-6 per F for carbon steel (12e-6 to 13e-6 per K);
// wrought iron 6.48e-6 in an old handbook; aluminum is "roughly twice ferrous".
func TestAlpha(t *testing.T) {
	a := float(AlphaOfSteel())
	if a < 6.4e-6 || a > 7.2e-6 {
		t.Errorf("alpha %g", a)
	}
	near(t, "per C", a*1.8, 11.7e-6, 1e-12)
	near(t, "wrought iron", a, 6.48e-6, 0.05e-6)
	near(t, "aluminum to steel", 12.8e-6/a, 2.0, 0.1)
	near(t, "vinyl to steel", 4.5e-5/a, 6.9, 0.05)
}

// NIST NCSTAR 1-3E gives steel's alpha as 7.4954e-6 + 1.231e-8 T per K; a member of
// 644 in heated from 293 to 873 K grows 5.48 in, one of 640.69 in 5.45 in. Alpha is
// linear in T, so degree by degree at its middle the sum is exact.
func TestMovementByDegrees(t *testing.T) {
	for _, c := range []struct{ length, want float64 }{{644, 5.48}, {640.69, 5.45}} {
		sum := new(big.Rat)
		for k := int64(293); k < 873; k++ {
			alpha := new(big.Rat).Mul(number("0.00000001231"), big.NewRat(2*k+1, 2))
			alpha.Add(alpha, number("0.0000074954"))
			sum.Add(sum, Movement(alpha, measure.FromInches(c.length), big.NewRat(1, 1)))
		}
		growth := float(sum) / float64(measure.Inch)
		near(t, "growth", growth, c.want, 0.005)
		near(t, "strain", growth/c.length, 0.0085098, 1e-7)
	}
}

// Ends: 40 ft hung at 40 F, 160 F hot. Fixed at its middle it needs 0.1872 in at
// each end, fixed at one end 0.3744 at the other: a 1/4 in gap passes only the
// first. A 20 ft piece 120 F colder leaves 0.81 in of a 1 in lap. By hand.
func TestMovementAtEnds(t *testing.T) {
	full := moved(AlphaOfSteel(), 40*measure.Foot, 120)
	near(t, "full", full, 0.3744, 0.00005)
	near(t, "half", full/2, 0.1872, 0.00005)
	if full/2 > 0.25 || full <= 0.25 {
		t.Error("1/4 in must pass a panel free both ways and fail one fixed at an end")
	}
	cold := moved(AlphaOfSteel(), 20*measure.Foot, -120)
	near(t, "cold", cold, -0.187, 0.0005)
	if left := 1 + cold; left < 0.81 {
		t.Errorf("lap left %.3f in", left)
	}
}
