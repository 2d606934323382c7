package change

import (
	"bytes"
	"encoding/json"
	"math/big"
	"strconv"
	"strings"
)

var (
	unescape = strings.NewReplacer("~1", "/", "~0", "~")
	escape   = strings.NewReplacer("~", "~0", "/", "~1")
)

// tokens splits a JSON pointer (RFC 6901).
func tokens(path string) ([]string, bool) {
	if path == "" {
		return nil, true
	}
	if path[0] != '/' {
		return nil, false
	}
	parts := strings.Split(path[1:], "/")
	if !strings.Contains(path, "~") {
		return parts, true
	}
	for i, p := range parts {
		if bad := strings.ReplaceAll(strings.ReplaceAll(p, "~0", ""), "~1", ""); strings.Contains(bad, "~") {
			return nil, false
		}
		parts[i] = unescape.Replace(p)
	}
	return parts, true
}

// pointer joins tokens.
func pointer(parts []string) string {
	var b strings.Builder
	for _, p := range parts {
		b.WriteByte('/')
		b.WriteString(escape.Replace(p))
	}
	return b.String()
}

// index reads a list's index: digits without leading zeros (RFC 6901 section 4).
func index(token string) (int, bool) {
	if token == "" || len(token) > 9 || token != "0" && token[0] == '0' {
		return 0, false
	}
	for i := range len(token) {
		if token[i] < '0' || token[i] > '9' {
			return 0, false
		}
	}
	n, err := strconv.Atoi(token)
	return n, err == nil
}

// sameScalar compares two JSON texts that are no containers.
func sameScalar(a, b []byte) bool {
	decode := func(t []byte) (v any, err error) {
		d := json.NewDecoder(bytes.NewReader(t))
		d.UseNumber()
		return v, d.Decode(&v)
	}
	x, errX := decode(a)
	y, errY := decode(b)
	if errX != nil || errY != nil {
		return false
	}
	m, isNumber := x.(json.Number)
	n, alike := y.(json.Number)
	if !isNumber || !alike {
		return x == y
	}
	return m == n || sameNumber(string(m), string(n))
}

// sameNumber compares exactly where the exponents are of a size that numbers of a
// job can have, else by text.
func sameNumber(m, n string) bool {
	if len(m) > 64 || len(n) > 64 || hugeExponent(m) || hugeExponent(n) {
		return m == n
	}
	x, okX := new(big.Rat).SetString(m)
	y, okY := new(big.Rat).SetString(n)
	return okX && okY && x.Cmp(y) == 0
}

func hugeExponent(n string) bool {
	_, e, found := strings.Cut(strings.ToLower(n), "e")
	v, err := strconv.Atoi(e)
	return found && (err != nil || v > 400 || v < -400)
}
