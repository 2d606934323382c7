package main

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"

	"coilwright/guillotine"
	"coilwright/opendata"
)

// instance is one published sheet with its proven optimum.
type instance struct {
	name, first string
	sheet       guillotine.Sheet
	optimum     int64
}

// published reads the proven table of the open instances beside the repository.
func published() ([]instance, error) {
	dir, err := opendata.Find("cutting", "guillotine2d")
	if err != nil {
		return nil, err
	}
	rows, err := table(filepath.Join(dir, "optima_knapsack_2nho_2nvo_others.csv"))
	if err != nil {
		return nil, err
	}
	var out []instance
	for _, row := range rows {
		x := instance{name: row["Path"], first: row["Options"]}
		if x.optimum, err = strconv.ParseInt(row["Best known bound"], 10, 64); err != nil {
			return nil, err
		}
		if x.sheet, err = sheet(filepath.Join(dir, x.name), x.first == "Horizontal"); err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// sheet reads an instance; level first cuts make strips that lie one above the other.
func sheet(path string, level bool) (guillotine.Sheet, error) {
	var s guillotine.Sheet
	across, along := "WIDTH", "HEIGHT"
	if level {
		across, along = along, across
	}
	bins, err := table(path + "_bins.csv")
	if err != nil {
		return s, err
	}
	items, err := table(path + "_items.csv")
	if err != nil {
		return s, err
	}
	n := func(row map[string]string, key string, missing int64) int64 {
		v, bad := strconv.ParseInt(row[key], 10, 64)
		if bad != nil && row[key] != "" {
			err = bad
		}
		if row[key] == "" {
			return missing
		}
		return v
	}
	s.Width, s.Length = n(bins[0], across, 0), n(bins[0], along, 0)
	for _, row := range items {
		p := guillotine.Piece{Width: n(row, across, 0), Length: n(row, along, 0), Count: int(n(row, "COPIES", 1))}
		p.Value = n(row, "PROFIT", p.Width*p.Length)
		s.Pieces = append(s.Pieces, p)
	}
	return s, err
}

// table reads a CSV file as rows by column name.
func table(path string) ([]map[string]string, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close() //nolint:errcheck // only read
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, err
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = row[i]
		}
		out = append(out, m)
	}
	return out, nil
}
