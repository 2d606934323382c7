package job

import (
	"fmt"
	"strings"

	"coilwright/house"
)

// PatchOp is one operation of an RFC 6902 patch of the job file; the value is nil for
// "remove".
type PatchOp struct {
	Op    string `json:"op"`
	Path  string `json:"path"`
	Value any    `json:"value"`
}

// takeOver is the patch that puts adjusted numbers into the job. What was read of a
// number goes on as a further reading, so that nothing read is lost and the same
// adjustment follows from the job as patched.
func (j *Job) takeOver(n *network, all []offered) []PatchOp {
	out := []PatchOp{}
	listed := len(j.Readings) > 0
	for _, o := range all {
		k := n.notes[o.reading]
		if !n.mute(k) && k.pedigree.By != house.Assumed {
			if !listed {
				out = append(out, PatchOp{"add", "/house/readings", []any{}})
				listed = true
			}
			out = append(out, PatchOp{"add", "/house/readings/-", j.asReading(n, o.reading)})
		}
		measured := map[string]any{"by": string(o.is.By), "plus_minus": o.is.PlusMinus.Text(j.Units), "adjusted": true}
		for _, where := range append([]string{o.answer.Where}, o.answer.Also...) {
			out = append(out, PatchOp{"replace", pointer(where), map[string]any{"length": o.after.Text(j.Units), "measured": measured}})
		}
	}
	return out
}

// asReading writes a number of the house as an entry of house.readings.
func (j *Job) asReading(n *network, reading int) map[string]any {
	k := n.notes[reading]
	w := j.House.Walls[k.place.Wall]
	from, to := "level", ""
	if k.place.Opening >= 0 {
		low, high := [2]string{"left", "sill"}[k.place.Axis], [2]string{"right", "head"}[k.place.Axis]
		name := w.ID + "." + w.Openings[k.place.Opening].ID + "."
		to = name + high
		switch {
		case k.kind == size:
			from = name + low
		case j.boxed(k.place):
			to = name + low
		default:
			to = fmt.Sprintf("%s%s[%d]", name, [2]string{"across", "height"}[k.place.Axis], k.first)
		}
	} else {
		to = fmt.Sprintf("%s.%s[%d]", w.ID, [2]string{"across", "height"}[k.place.Axis], k.first)
	}
	if k.kind == across {
		from = w.ID + ".left"
	}
	length := n.value(reading)
	if length < 0 {
		from, to, length = to, from, -length
	}
	measured := map[string]any{"by": string(k.pedigree.By)}
	if k.pedigree.PlusMinus >= 0 {
		measured["plus_minus"] = k.pedigree.PlusMinus.Text(j.Units)
	}
	return map[string]any{"between": []any{from, to}, "length": length.Text(j.Units), "measured": measured}
}

func (j *Job) boxed(p Place) bool {
	_, ok := j.sizes[owner{p.Wall, p.Opening}]
	return ok
}

// pointer turns a path such as $.house.walls[0].at[1] into a JSON Pointer (RFC 6901).
func pointer(path string) string {
	var b strings.Builder
	for _, part := range strings.FieldsFunc(strings.TrimPrefix(path, "$"), func(r rune) bool { return r == '.' || r == '[' || r == ']' }) {
		b.WriteString("/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(part))
	}
	return b.String()
}
