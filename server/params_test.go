package server_test

import (
	"regexp"
	"slices"
	"testing"
)

// TestPathParameters: an operation takes every name of its path. One that does not
// (its input embeds a type that is not exported) would answer 404 to everything.
func TestPathParameters(t *testing.T) {
	inBraces := regexp.MustCompile(`{(\w+)}`)
	for _, c := range read(t).calls {
		var taken []string
		params, _ := c.op["parameters"].([]any)
		for _, p := range params {
			if at(p, "in") == "path" {
				taken = append(taken, at(p, "name").(string))
			}
		}
		for _, m := range inBraces.FindAllStringSubmatch(c.path, -1) {
			if !slices.Contains(taken, m[1]) {
				t.Errorf("%s %s does not take %q", c.method, c.path, m[1])
			}
		}
	}
}
