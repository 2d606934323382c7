package picture

import (
	"math"
	"testing"
	"time"
)

// Meeus, Astronomical Algorithms, 2nd ed., example 25.a: 1992 October 13, 0h TD.
func TestSolarExample(t *testing.T) {
	l, ra, dec := solar((2448908.5 - 2451545) / 36525)
	for _, c := range []struct {
		what      string
		got, want float64
	}{{"longitude", l, 199.90895}, {"right ascension", ra, 198.38083}, {"declination", dec, -7.78507}} {
		if math.Abs(c.got-c.want) > 2e-5 {
			t.Errorf("%s %.5f, published %.5f", c.what, c.got, c.want)
		}
	}
}

// Reda and Andreas, Solar Position Algorithm for Solar Radiation Applications,
// NREL/TP-560-34302, table A5.1: zenith 50.11162 (with refraction; 0.0163 degrees of
// it at that height, so 50.128 without), azimuth 194.34024.
func TestSunAtWorkedExample(t *testing.T) {
	at := time.Date(2003, 10, 17, 12, 30, 30, 0, time.FixedZone("", -7*3600))
	s, err := SunAt(at, 39.742476, -105.1786)
	if err != nil || math.Abs(s.Azimuth-194.34024) > 0.01 || math.Abs(90-s.Elevation-50.128) > 0.01 {
		t.Errorf("%+v %v", s, err)
	}
	if _, err := SunAt(at, 91, 0); err == nil {
		t.Error("latitude 91 is taken")
	}
}

// The truth scenes' suns, worked out by other hands with NOAA's equations, and
// their directions beside a wall of given bearing.
func TestSunOfScenes(t *testing.T) {
	for _, c := range []struct {
		at            time.Time
		faces, az, el float64
		x, y, z       float64
	}{
		{time.Date(2026, 6, 18, 19, 40, 0, 0, time.UTC), 182, 230.597, 64.702, -0.32053, -0.28262, 0.9041},
		{time.Date(2026, 9, 14, 13, 25, 0, 0, time.UTC), 155, 100.223, 16.138, 0.78472, -0.55404, 0.27796},
	} {
		s, err := SunAt(c.at, 41.6, -93.6)
		d := s.Towards(c.faces)
		if err != nil || math.Abs(s.Azimuth-c.az) > 0.02 || math.Abs(s.Elevation-c.el) > 0.02 ||
			math.Abs(d.X-c.x)+math.Abs(d.Y-c.y)+math.Abs(d.Z-c.z) > 0.001 {
			t.Errorf("%v: %+v %+v %v", c.at, s, d, err)
		}
	}
}
