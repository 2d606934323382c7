package guillotine_test

import (
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"coilwright/guillotine"
	"coilwright/opendata"
)

// table reads a CSV file as rows by column name.
func table(t testing.TB, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func number(t testing.TB, text string) int64 {
	t.Helper()
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// instance reads one sheet. First cuts that run level make strips that lie one
// above the other: the sheet's height is then the way across.
func instance(t testing.TB, path string, level bool) guillotine.Sheet {
	t.Helper()
	turn := func(m map[string]string) (w, l int64) {
		w, l = number(t, m["HEIGHT"]), number(t, m["WIDTH"])
		if !level {
			w, l = l, w
		}
		return w, l
	}
	var s guillotine.Sheet
	s.Width, s.Length = turn(table(t, path+"_bins.csv")[0])
	for _, m := range table(t, path+"_items.csv") {
		p := guillotine.Piece{Count: 1}
		p.Width, p.Length = turn(m)
		p.Value = p.Width * p.Length
		if v := m["PROFIT"]; v != "" {
			p.Value = number(t, v)
		}
		if c := m["COPIES"]; c != "" {
			p.Count = int(number(t, c))
		}
		s.Pieces = append(s.Pieces, p)
	}
	return s
}

// TestPublishedSheets reaches all proven optima of the two-stage non-exact knapsack
// without rotation (source: the folder's SOURCE.md; kept there only where best known
// and bound agree).
func TestPublishedSheets(t *testing.T) {
	dir := opendata.Need(t, "published sheets", "cutting", "guillotine2d")
	for _, row := range table(t, filepath.Join(dir, "optima_knapsack_2nho_2nvo_others.csv")) {
		t.Run(row["Path"]+" "+row["Options"], func(t *testing.T) {
			s := instance(t, filepath.Join(dir, row["Path"]), row["Options"] == "Horizontal")
			f, err := guillotine.Fill(context.Background(), s)
			if err != nil {
				t.Fatal(err)
			}
			want := number(t, row["Best known bound"])
			if f.Value != want || !f.Optimal {
				t.Errorf("value %d, bound %d, optimal %v; published %d", f.Value, f.Bound, f.Optimal, want)
			}
			judgeFilling(t, s, f)
		})
	}
}

// TestPublishedUpperBounds: the values known for cutting without the guillotine rule
// (cgcut, gcut) are bounds for any two-stage filling, in both directions, and no
// optimum of it; ours must be proven and stay below.
func TestPublishedUpperBounds(t *testing.T) {
	dir := opendata.Need(t, "published sheets", "cutting", "guillotine2d")
	for _, row := range table(t, filepath.Join(dir, "optima_knapsack_oriented.csv")) {
		for _, level := range []bool{true, false} {
			s := instance(t, filepath.Join(dir, row["Path"]), level)
			f, err := guillotine.Fill(context.Background(), s)
			if err != nil {
				t.Fatal(err)
			}
			judgeFilling(t, s, f)
			if known := number(t, row["Best known solution value"]); f.Value > known || !f.Optimal {
				t.Errorf("%s: value %d, bound %d; without the guillotine rule %d", row["Path"], f.Value, f.Bound, known)
			}
		}
	}
}
