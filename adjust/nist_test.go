package adjust_test

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"coilwright/adjust"
	"coilwright/opendata"
)

// regression is one of NIST's Statistical Reference Datasets for non-linear
// regression (StRD, certified values inside each file).
type regression struct {
	starts             [2][]float64
	certified, sigmas  []float64
	squares, deviation float64
	observations       int
	y, x               []float64
}

var number = regexp.MustCompile(`[-+]?(?:\d+\.?\d*|\.\d+)(?:[Ee][-+]?\d+)?`)

func floats(t *testing.T, line string) []float64 {
	var out []float64
	for _, s := range number.FindAllString(line, -1) {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

func readNIST(t *testing.T, name string) regression {
	data, err := os.ReadFile(opendata.Need(t, "certified values", "adjustment", "nist", name+".dat"))
	if err != nil {
		t.Fatal(err)
	}
	var r regression
	inData := false
	for line := range strings.Lines(string(data)) {
		line = strings.TrimSpace(line)
		_, after, isValue := strings.Cut(line, "=")
		switch {
		case regexp.MustCompile(`^b\d+ *=`).MatchString(line) && isValue:
			if f := floats(t, after); len(f) == 4 {
				r.starts[0], r.starts[1] = append(r.starts[0], f[0]), append(r.starts[1], f[1])
				r.certified, r.sigmas = append(r.certified, f[2]), append(r.sigmas, f[3])
			}
		case strings.HasPrefix(line, "Residual Sum of Squares:"):
			r.squares = floats(t, line)[0]
		case strings.HasPrefix(line, "Residual Standard Deviation:"):
			r.deviation = floats(t, line)[0]
		case strings.HasPrefix(line, "Number of Observations:"):
			r.observations = int(floats(t, line)[0])
		case strings.HasPrefix(line, "Data:") && !strings.Contains(line, "Observations") && !strings.Contains(line, "Response"):
			inData = true
		case inData:
			if f := floats(t, line); len(f) == 2 {
				r.y, r.x = append(r.y, f[0]), append(r.x, f[1])
			}
		}
	}
	return r
}

func poly(b []float64, x float64) float64 {
	v := 0.0
	for i := len(b) - 1; i >= 0; i-- {
		v = v*x + b[i]
	}
	return v
}

// curves are the models, as the files print them.
var curves = map[string]func(b []float64, x float64) float64{
	"Misra1a":  func(b []float64, x float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"Misra1b":  func(b []float64, x float64) float64 { return b[0] * (1 - math.Pow(1+b[1]*x/2, -2)) },
	"Chwirut2": func(b []float64, x float64) float64 { return math.Exp(-b[0]*x) / (b[1] + b[2]*x) },
	"DanWood":  func(b []float64, x float64) float64 { return b[0] * math.Pow(x, b[1]) },
	"Hahn1": func(b []float64, x float64) float64 {
		return poly(b[:4], x) / (1 + x*poly(b[4:], x))
	},
	"Kirby2": func(b []float64, x float64) float64 { return poly(b[:3], x) / (1 + x*poly(b[3:], x)) },
	"Lanczos3": func(b []float64, x float64) float64 {
		return b[0]*math.Exp(-b[1]*x) + b[2]*math.Exp(-b[3]*x) + b[4]*math.Exp(-b[5]*x)
	},
	"MGH09": func(b []float64, x float64) float64 { return b[0] * (x*x + x*b[1]) / (x*x + x*b[2] + b[3]) },
	"Rat43": func(b []float64, x float64) float64 { return b[0] / math.Pow(1+math.Exp(b[1]-b[2]*x), 1/b[3]) },
	// The stored copy's b1 goes with the branch of the arctangent from 0 to pi: it
	// is one more than with the principal branch, and everything else is the same.
	"Roszman1": func(b []float64, x float64) float64 { return b[0] - b[1]*x - math.Atan2(b[2], x-b[3])/math.Pi },
	"Thurber":  func(b []float64, x float64) float64 { return poly(b[:4], x) / (1 + x*poly(b[4:], x)) },
}

// fitted is a model with derivatives by central differences (error of the order
// of 1e-10 of the value: it does not move the minimum, only the way to it).
func fitted(r regression, f func([]float64, float64) float64) adjust.Model[[]float64] {
	n := len(r.certified)
	return adjust.Model[[]float64]{
		Unknowns: n,
		Rows: func(b []float64) []adjust.Row {
			rows := make([]adjust.Row, len(r.y))
			for i, x := range r.x {
				rows[i] = adjust.Row{Value: r.y[i] - f(b, x), Sigma: 1}
				for j := range b {
					h := 1e-6 * math.Max(math.Abs(b[j]), 1e-12)
					up, down := append([]float64(nil), b...), append([]float64(nil), b...)
					up[j], down[j] = b[j]+h, b[j]-h
					rows[i].Terms = append(rows[i].Terms, adjust.Term{At: j, By: (f(up, x) - f(down, x)) / (2 * h)})
				}
			}
			return rows
		},
		Move: func(b, step []float64) []float64 {
			out := append([]float64(nil), b...)
			for i := range out {
				out[i] += step[i]
			}
			return out
		},
	}
}

func TestNIST(t *testing.T) {
	for name, f := range curves {
		r := readNIST(t, name)
		if len(r.certified) == 0 || len(r.y) != r.observations {
			t.Fatalf("%s: read %d values, %d observations", name, len(r.certified), len(r.y))
		}
		for start, b := range r.starts {
			got, fit, err := adjust.Nonlinear(fitted(r, f), b)
			if err != nil {
				t.Errorf("%s start %d: %v", name, start+1, err)
				continue
			}
			s2 := adjust.SquareSum(fitted(r, f).Rows(got)) / float64(len(r.y)-len(b))
			for i, want := range r.certified {
				if math.Abs(got[i]-want) > 1e-6*math.Abs(want) {
					t.Errorf("%s start %d: b%d = %.11g, certified %.11g", name, start+1, i+1, got[i], want)
				}
				if sigma := math.Sqrt(s2 * fit.Cov.At(i, i)); math.Abs(sigma-r.sigmas[i]) > 1e-5*r.sigmas[i] {
					t.Errorf("%s start %d: sigma of b%d = %.8g, certified %.8g", name, start+1, i+1, sigma, r.sigmas[i])
				}
			}
		}
	}
}
