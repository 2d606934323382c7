package site

import (
	"crypto/sha256"
	"encoding/base32"
	"fmt"
	"strings"

	"coilwright/coil"
	"coilwright/course"
	"coilwright/job"
	"coilwright/plane"
)

// Keys names every piece of a run in marks: a digest of where it hangs and how it is
// cut. A layout that leaves a piece as it is leaves its key, whatever its id and
// number are then; one that changes the cut gives another key, so that steel formed
// for the old place is never taken for the new one.
type Keys struct {
	Of map[string]string // key by id
	ID map[string]string // id by key
}

// keyLetters are 60 bits in base32: among 2,000 pieces two are alike once in 10^12.
const keyLetters = 12

var letters = base32.NewEncoding("abcdefghijklmnopqrstuvwxyz234567").WithPadding(base32.NoPadding)

// KeysOf names the pieces of a run and the blanks that the machine forms beside them.
func KeysOf(j *job.Job, r *job.RunResult) Keys {
	k := Keys{map[string]string{}, map[string]string{}}
	for i := range r.Layout.Pieces {
		p := &r.Layout.Pieces[i]
		k.put(p.ID, PieceKey(j.House.Walls[p.Wall].ID, p))
	}
	for _, c := range flatCuts(r) {
		k.put(c.ID, blankKey(c))
	}
	return k
}

func (k Keys) put(id, key string) { k.Of[id], k.ID[key] = key, id }

// PieceKey names one piece of a wall.
func PieceKey(wall string, p *course.Piece) string {
	return digest(fmt.Sprintf("%q %d %d %s", wall, p.At.X, p.At.Y, cutText(p)))
}

// cutKey names a piece's cut, wherever it hangs: a piece that lost its place may serve
// in another one's of the same cut.
func cutKey(p *course.Piece) string { return digest(cutText(p)) }

func cutText(p *course.Piece) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%t %q %q %q %d %d", p.Vertical, p.Panel, p.Texture, p.Colour, p.Thickness, p.Length)
	for _, r := range append([]plane.Ring{p.Shape.Outer}, p.Shape.Holes...) {
		b.WriteString(";")
		for _, q := range r {
			fmt.Fprintf(&b, "%d,%d ", q.X, q.Y)
		}
	}
	return b.String()
}

func blankKey(c coil.Cut) string {
	return digest(fmt.Sprintf("flat %q %q %d %s", c.ID, c.Wall, c.Length, setupID(c.Setup)))
}

// setupID names a set-up: the same changes of the machine have the same name.
func setupID(s coil.Setup) string {
	return digest(fmt.Sprintf("%q %q %q %d %d", s.Panel, s.Texture, s.Colour, s.Thickness, s.Width))[:8]
}

func digest(text string) string {
	sum := sha256.Sum256([]byte(text))
	return letters.EncodeToString(sum[:])[:keyLetters]
}
