package draw

import (
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// Millimetres in a point: 1 pt = 1/72 in.
const pt = 25.4 / 72

// Missing stands where the fonts have no glyph for a letter.
const Missing = '□'

// face is the advance widths of one font in parts of its size. Both fonts are the
// Go fonts (BSD licence), which hold the WGL4 letters: Latin, Greek, Cyrillic.
type face struct{ advance map[rune]float64 }

var faces = sync.OnceValue(func() [2]face {
	return [2]face{measured(goregular.TTF), measured(gobold.TTF)}
})

// measured reads the widths of every letter below U+FB10, where WGL4 ends.
func measured(ttf []byte) face {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic("draw: the built-in font does not parse: " + err.Error())
	}
	var b sfnt.Buffer
	out := face{map[rune]float64{}}
	for _, span := range [...][2]rune{{' ', 0x530}, {0x1e00, 0x2700}, {0xf000, 0xfb10}} {
		for r := span[0]; r < span[1]; r++ {
			g, err := f.GlyphIndex(&b, r)
			if err != nil || g == 0 {
				continue
			}
			if a, err := f.GlyphAdvance(&b, g, fixed.I(1000), font.HintingNone); err == nil {
				out.advance[r] = float64(a) / 64000
			}
		}
	}
	return out
}

func faceOf(bold bool) face {
	if bold {
		return faces()[1]
	}
	return faces()[0]
}

// Clean gives the text as it will stand on paper: control and direction marks
// taken out, white space of any kind one blank, letters that the fonts lack shown
// by their base letter or, failing that, by the Missing sign. Never empty of
// signs where the text had letters.
func Clean(s string) string {
	has := faceOf(false).advance
	var b strings.Builder
	for _, r := range norm.NFC.String(strings.ToValidUTF8(s, string(Missing))) {
		switch _, known := has[r]; {
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case !unicode.IsPrint(r):
		case known:
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r): // a loose accent that no letter took
		default:
			b.WriteRune(baseLetter(r, has))
		}
	}
	return b.String()
}

func baseLetter(r rune, has map[rune]float64) rune {
	d := []rune(norm.NFD.String(string(r)))[0]
	if _, ok := has[d]; ok && unicode.IsLetter(d) {
		return d
	}
	return Missing
}

// Width is how wide a text stands, in millimetres.
func Width(s string, size float64, bold bool) float64 {
	return width(Clean(s), size, bold)
}

func width(clean string, size float64, bold bool) float64 {
	adv := faceOf(bold).advance
	w := 0.0
	for _, r := range clean {
		w += adv[r]
	}
	return w * size * pt
}

// Fit cuts a text, with an ellipsis, to at most w millimetres.
func Fit(s string, size float64, bold bool, w float64) string {
	s = Clean(clip(s))
	if width(s, size, bold) <= w {
		return s
	}
	adv := faceOf(bold).advance
	x := width("…", size, bold)
	for i, r := range s {
		if x += adv[r] * size * pt; x > w {
			return strings.TrimRight(s[:i], " ") + "…"
		}
	}
	return s
}

// longest text, in bytes, that is ever set on one line; what is longer could not
// be read on any paper.
const longest = 2000

func clip(s string) string {
	if len(s) > longest {
		return s[:longest]
	}
	return s
}

// Wrap breaks a text into lines of at most w millimetres, between words where it
// can. At least one line.
func Wrap(s string, size float64, bold bool, w float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(Clean(s)) {
		for _, part := range breakWord(word, size, bold, w) {
			switch {
			case line == "":
				line = part
			case width(line+" "+part, size, bold) <= w:
				line += " " + part
			default:
				lines = append(lines, line)
				line = part
			}
		}
	}
	return append(lines, line)
}

// breakWord splits a word that is wider than a line.
func breakWord(word string, size float64, bold bool, w float64) []string {
	if width(word, size, bold) <= w {
		return []string{word}
	}
	adv := faceOf(bold).advance
	var parts []string
	from, x := 0, 0.0
	for i, r := range word {
		a := adv[r] * size * pt
		if x+a > w && i > from {
			parts = append(parts, word[from:i])
			from, x = i, 0
		}
		x += a
	}
	return append(parts, word[from:])
}

// CapHeight is the height of capitals and figures of that size, in millimetres
// (the Go fonts' own: 0.723 of the size, read from the font).
func CapHeight(size float64) float64 { return 0.723 * size * pt }
