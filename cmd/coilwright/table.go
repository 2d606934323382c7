package main

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// table is rows for a person to read.
type table struct {
	heads []string
	right []bool
	rows  [][]string
}

// newTable names the columns; one that begins with ">" is set to the right.
func newTable(heads ...string) *table {
	t := &table{}
	for _, h := range heads {
		h, right := strings.CutPrefix(h, ">")
		t.heads, t.right = append(t.heads, h), append(t.right, right)
	}
	return t
}

func (t *table) row(cells ...any) {
	r := make([]string, len(cells))
	for i, c := range cells {
		r[i] = fmt.Sprint(c)
	}
	t.rows = append(t.rows, r)
}

// String is the table, its columns aligned.
func (t *table) String() string {
	wide := make([]int, len(t.heads))
	lines := append([][]string{t.heads}, t.rows...)
	for _, r := range lines {
		for i, c := range r {
			wide[i] = max(wide[i], utf8.RuneCountInString(c))
		}
	}
	var b strings.Builder
	for _, r := range lines {
		var line strings.Builder
		for i, c := range r {
			pad := strings.Repeat(" ", wide[i]-utf8.RuneCountInString(c))
			if t.right[i] {
				c, pad = pad+c, ""
			}
			line.WriteString(c + pad + "  ")
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
	return b.String()
}

// wrapped sets words in indented lines of at most 100 letters.
func wrapped(words []string) string {
	var b strings.Builder
	line := " "
	for _, w := range words {
		if len(line)+1+len(w) > 100 && line != " " {
			b.WriteString(line + "\n")
			line = " "
		}
		line += " " + w
	}
	return b.String() + line + "\n"
}
