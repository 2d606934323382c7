package problem_test

import (
	"errors"
	"testing"

	"coilwright/problem"
)

func TestString(t *testing.T) {
	var l problem.List
	l.Warnf("$.a[1]", "écrivez two words", "%d words are missing", 2)
	if got, want := l[0].String(), "warning: $.a[1]: 2 words are missing. Écrivez two words."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestOnlyErrorsFail(t *testing.T) {
	var l problem.List
	l.Warnf("$.a", "mend it", "doubtful")
	if l.Fatal() || l.Err() != nil {
		t.Fatal("a warning alone failed")
	}
	l.Errorf("$.b", "mend it", "wrong")
	var f *problem.Failure
	if err := l.Err(); !errors.As(err, &f) || len(f.Problems) != 2 || err.Error() != "error: $.b: wrong. Mend it." {
		t.Errorf("got %v", err)
	}
}
