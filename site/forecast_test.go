package site

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"coilwright/tally"
)

// TestStudent: the 0.975 quantiles as any table prints them.
func TestStudent(t *testing.T) {
	for free, want := range map[int]float64{1: 12.706, 5: 2.571, 10: 2.228, 11: 2.201, 12: 2.179, 15: 2.131, 20: 2.086, 30: 2.042, 60: 2.000, 120: 1.980} {
		if got := student(free); math.Abs(got-want) > 0.003 {
			t.Errorf("%d degrees of freedom: %.4f, want %.3f", free, got, want)
		}
	}
}

// TestPaceCovers: crews whose days scatter by a quarter finish within the stated days in
// about nineteen of twenty cases. Each crew is followed day by day until it is done; the
// judge counts days, it knows no interval.
func TestPaceCovers(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2026))
	for _, days := range []int{2, 3, 5, 10} {
		const crews = 4000
		held := 0
		for range crews {
			draw := func() float64 { return math.Max(20, 100+25*r.NormFloat64()) }
			var pace []float64
			for range days {
				pace = append(pace, draw())
			}
			const left = 800.0
			mean, low, high := paceOf(pace, left)
			if !(low <= mean && mean <= high) {
				t.Fatal(mean, low, high)
			}
			took, done := 0.0, 0.0
			for done < left {
				day := draw()
				took += math.Min(1, (left-done)/day)
				done += day
			}
			if took >= left/high && (low == 0 || took <= left/low) {
				held++
			}
		}
		share := float64(held) / crews
		t.Logf("%d days so far: %.1f %% within", days, 100*share)
		if share < 0.93 || share > 0.995 {
			t.Errorf("%d days so far: %.1f %% of the crews finish within 19 in 20", days, 100*share)
		}
	}
}

// site with pieces alike, of which some hang.
func hanging(pieces int, at func(i int) (time.Time, bool), now time.Time) *watch {
	p := &Pack{Machine: PackMachine{}}
	w := &watch{pack: p, now: now, received: map[string]time.Time{}, piece: map[string]*PackPiece{}, lengths: map[string]float64{}, state: tally.State{Pieces: map[string]tally.PieceState{}}}
	for i := range pieces {
		key := string(rune('a'+i/26)) + string(rune('a'+i%26))
		w.piece[key], w.lengths[key] = &PackPiece{Key: key}, 120
		when, hung := at(i)
		if !hung {
			continue
		}
		m := tally.Mark{ID: key, Kind: tally.Hung, Piece: key, At: when.Format(time.RFC3339)}
		w.standing = append(w.standing, m)
		w.received[m.ID] = when
		w.state.Pieces[key] = tally.PieceState{Place: tally.OnWall, Last: m}
	}
	return w
}

// TestForecastOfASteadyCrew: 20 pieces a day from Monday to Wednesday, 100 in all: two
// days are left on Wednesday evening, so that the last hangs on Friday.
func TestForecastOfASteadyCrew(t *testing.T) {
	monday := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	at := func(i int) (time.Time, bool) {
		return monday.AddDate(0, 0, i/20).Add(time.Duration(i%20) * 24 * time.Minute), i < 60
	}
	w := hanging(100, at, monday.AddDate(0, 0, 3)) // Thursday morning
	f := w.forecast()
	if !f.Known || f.DaysLeft != 2 || f.DaysLow != 2 || f.DaysHigh != 2 || f.Finish != "2026-05-08" || !strings.Contains(f.Text, "3 days") {
		t.Errorf("%+v", f)
	}
	w = hanging(140, at, monday.AddDate(0, 0, 3))
	if f := w.forecast(); f.DaysLeft != 4 || f.Finish != "2026-05-12" { // Thursday, Friday, Monday, Tuesday
		t.Errorf("over a weekend: %+v", f)
	}
	w = hanging(100, func(i int) (time.Time, bool) { when, _ := at(i); return when.AddDate(0, 0, 5), i < 60 }, monday.AddDate(0, 0, 8))
	if f := w.forecast(); f.Finish != "2026-05-13" || strings.Contains(f.Text, "Sundays") {
		t.Errorf("a crew that works on Saturdays: %+v", f)
	}
}

// TestForecastWhileTheDayGoesOn: a morning does not count as a slow day.
func TestForecastWhileTheDayGoesOn(t *testing.T) {
	monday := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	at := func(i int) (time.Time, bool) {
		return monday.AddDate(0, 0, i/20).Add(time.Duration(i%20) * 24 * time.Minute), i < 44
	}
	w := hanging(100, at, monday.AddDate(0, 0, 2).Add(2*time.Hour))
	if f := w.forecast(); math.Abs(f.DaysLeft-56.0/20) > 0.1 {
		t.Errorf("%+v", f)
	}
	alone := hanging(100, func(i int) (time.Time, bool) { when, _ := at(i); return when, i < 10 }, monday.Add(4*time.Hour))
	if f := alone.forecast(); !f.Known || math.Abs(f.DaysLeft-90/(10*8/3.6)) > 0.2 || f.DaysHigh < f.DaysLeft*1.9 {
		t.Errorf("one day that goes on: %+v", f)
	}
}

func TestForecastOfNothing(t *testing.T) {
	now := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	for name, w := range map[string]*watch{
		"no pieces": hanging(0, nil, now), "too few": hanging(50, func(i int) (time.Time, bool) { return now, i < 4 }, now),
	} {
		if f := w.forecast(); f.Known || f.Text == "" || f.Finish != "" {
			t.Errorf("%s: %+v", name, f)
		}
	}
	if f := hanging(6, func(int) (time.Time, bool) { return now, true }, now).forecast(); !f.Known || f.DaysLeft != 0 {
		t.Errorf("all hangs: %+v", f)
	}
}

// TestClockText: said from ten minutes on, both ways.
func TestClockText(t *testing.T) {
	for d, word := range map[time.Duration]string{9 * time.Minute: "", -9 * time.Minute: "", 24 * time.Hour: "24 hours ahead", -30 * time.Minute: "30 minutes behind"} {
		if got := ClockText(d); (got == "") != (word == "") || !strings.Contains(got, word) {
			t.Errorf("%v: %q", d, got)
		}
	}
}

// TestWhen: a time that lies ahead of the office's clock by a day is not believed.
func TestWhen(t *testing.T) {
	came := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	w := &watch{received: map[string]time.Time{"m": came}}
	for at, want := range map[string]time.Time{
		"2026-05-05T08:00:00Z": came, "soon": came, "": came, "2026-05-04T08:05:00Z": came.Add(5 * time.Minute), "2026-05-01T08:00:00Z": came.AddDate(0, 0, -3),
	} {
		if got := w.when(tally.Mark{ID: "m", At: at}); !got.Equal(want) {
			t.Errorf("%q: %v, want %v", at, got, want)
		}
	}
}
