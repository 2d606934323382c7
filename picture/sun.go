package picture

import (
	"errors"
	"math"
	"time"

	"coilwright/photo"
)

// Sun is where the sun stands: azimuth in degrees clockwise from north, elevation
// in degrees over the horizon.
type Sun struct{ Azimuth, Elevation float64 }

// ErrPlace is matched where latitude or longitude are none.
var ErrPlace = errors.New("no place on earth: latitude is -90 to 90, longitude -180 to 180 degrees, east positive")

// SunAt gives the sun's geometric position, seen from a place in degrees (east and
// north positive): the centre of its disc, without refraction, which lifts a sun at
// 10 degrees by 0.09 and at the horizon by half a degree.
//
// Method: J. Meeus, Astronomical Algorithms, 2nd ed., chapters 12 (sidereal time),
// 13 (horizon) and 25 (solar coordinates, low accuracy), the equations behind NOAA's
// solar calculator; better than 0.02 degrees between 1950 and 2050.
func SunAt(at time.Time, latitude, longitude float64) (Sun, error) {
	if !(math.Abs(latitude) <= 90 && math.Abs(longitude) <= 180) {
		return Sun{}, ErrPlace
	}
	const deltaT = 69.0 // seconds that clocks on earth lag behind: 64 in 2000, 69 in 2024
	days := float64(at.Unix()-946728000)/86400 + float64(at.Nanosecond())/86400e9
	_, ascension, declination := solar((days + deltaT/86400) / 36525)

	sidereal := 280.46061837 + 360.98564736629*days // Meeus 12.4, its small terms left out
	hour := radians(sidereal + longitude - ascension)
	lat, dec := radians(latitude), radians(declination)
	// Meeus 13.5 and 13.6; azimuth turned to count from north.
	azimuth := math.Atan2(math.Sin(hour), math.Cos(hour)*math.Sin(lat)-math.Tan(dec)*math.Cos(lat))
	elevation := math.Asin(math.Sin(lat)*math.Sin(dec) + math.Cos(lat)*math.Cos(dec)*math.Cos(hour))
	return Sun{turned(degrees(azimuth) + 180), degrees(elevation)}, nil
}

// solar gives the sun's apparent longitude, right ascension and declination in
// degrees, t Julian centuries (dynamical time) after 2000 (Meeus, chapter 25).
func solar(t float64) (longitude, ascension, declination float64) {
	mean := 280.46646 + t*(36000.76983+t*0.0003032)
	m := radians(357.52911 + t*(35999.05029-t*0.0001537))
	centre := (1.914602-t*(0.004817+t*0.000014))*math.Sin(m) +
		(0.019993-t*0.000101)*math.Sin(2*m) + 0.000289*math.Sin(3*m)
	omega := radians(125.04 - 1934.136*t)
	longitude = mean + centre - 0.00569 - 0.00478*math.Sin(omega)
	tilt := radians(23.4392911 - t*(0.0130042+t*(0.00000016-t*0.000000504)) + 0.00256*math.Cos(omega))
	l := radians(longitude)
	ascension = degrees(math.Atan2(math.Cos(tilt)*math.Sin(l), math.Cos(l)))
	declination = degrees(math.Asin(math.Sin(tilt) * math.Sin(l)))
	return turned(longitude), turned(ascension), declination
}

// Towards is the direction to the sun in a frame whose first wall (X right, Z up, Y
// away from its viewer) faces the compass bearing given in degrees.
func (s Sun) Towards(faces float64) photo.Vec {
	turn := radians(s.Azimuth - faces) // clockwise from where the wall looks
	level := math.Cos(radians(s.Elevation))
	// Seen from outside, a wall's right hand lies anticlockwise of where it looks.
	return photo.Vec{X: -level * math.Sin(turn), Y: -level * math.Cos(turn), Z: math.Sin(radians(s.Elevation))}
}

func radians(d float64) float64 { return d * math.Pi / 180 }
func degrees(r float64) float64 { return r * 180 / math.Pi }

// turned brings an angle in degrees into 0 to 360.
func turned(d float64) float64 {
	d = math.Mod(d, 360)
	if d < 0 {
		d += 360
	}
	return d
}
