package server

import (
	"context"
	"errors"

	"coilwright/measure"
)

// Term is one typed length of a sum and how often it counts.
type Term struct {
	Text  string `json:"text" maxLength:"64" doc:"A length with its unit marks, as in a job file"`
	Times string `json:"times" enum:"1,-1,1/2,-1/2"`
}

// SumView is an exact sum in the job's units, or why there is none.
type SumView struct {
	Text  string     `json:"text"`
	In    float64    `json:"in"`
	Error *TermError `json:"error,omitempty"`
}

// TermError says why a text is no length.
type TermError struct {
	What string `json:"what"`
	Mend string `json:"mend"`
}

type lengthsIn struct {
	Body struct {
		Units string   `json:"units" enum:"imperial,metric"`
		Sums  [][]Term `json:"sums" nullable:"false" maxItems:"1000" doc:"At most 1000, of at most 50 terms each"`
	}
}

type lengthsOut struct {
	Body struct {
		Sums []SumView `json:"sums"`
	}
}

func (s *Server) registerLengths() {
	handle(s, operation("POST", "/api/lengths", "add-lengths", "lengths", "Read typed lengths and add them exactly, so that a page does no arithmetic of its own"), s.addLengths)
}

func (s *Server) addLengths(ctx context.Context, in *lengthsIn) (*lengthsOut, error) {
	if _, err := who(ctx); err != nil {
		return nil, err
	}
	units := measure.Imperial
	if in.Body.Units == "metric" {
		units = measure.Metric
	}
	out := &lengthsOut{}
	out.Body.Sums = []SumView{}
	for _, terms := range in.Body.Sums {
		out.Body.Sums = append(out.Body.Sums, sumOf(terms, units))
	}
	return out, nil
}

// mostTerms bounds a sum: fifty lengths of at most 100 km stay far within a length.
const mostTerms = 50

// sumOf adds twice each term and halves the end, so that two halves make a whole.
func sumOf(terms []Term, u measure.Units) SumView {
	if len(terms) > mostTerms {
		return SumView{Error: &TermError{"the sum has too many terms", "add at most fifty at once"}}
	}
	var twice measure.Length
	for _, t := range terms {
		l, err := measure.ParseLength(t.Text)
		if err != nil {
			return refusedTerm(t.Text, err)
		}
		if l.Abs() > measure.MaxCoil {
			return SumView{Error: &TermError{t.Text + " is beyond anything that is measured here", "check the unit"}}
		}
		twice += map[string]measure.Length{"1": 2, "-1": -2, "1/2": 1, "-1/2": -1}[t.Times] * l
	}
	sum := twice / 2
	return SumView{Text: sum.Text(u), In: sum.Inches()}
}

func refusedTerm(text string, err error) SumView {
	var wrong *measure.LengthError
	if errors.As(err, &wrong) {
		return SumView{Error: &TermError{What: wrong.Why, Mend: wrong.Mend}}
	}
	return SumView{Error: &TermError{What: text + ": " + err.Error(), Mend: "write it like " + measure.Accepted}}
}
