package main

import (
	"fmt"
	"strings"

	"coilwright/job"
	"coilwright/trim"
)

// slitText sums up the flat coil that trim is slit from: what it takes and how good
// the plan is; the strips themselves are on the papers and in the JSON.
func slitText(j *job.Job, plans []trim.Slitting) string {
	var b strings.Builder
	for i := range plans {
		p := &plans[i]
		coil := "trim coil"
		if p.From == trim.PanelCoil {
			coil = "panel coil"
		}
		fmt.Fprintf(&b, "\nTrim from %s %s wide%s: ", coil, p.Width.Near(j.Units, j.Units.Step()), inColour(p.Colour))
		if len(p.Blanks) == 0 {
			b.WriteString("nothing to slit.")
		} else {
			fmt.Fprintf(&b, "%.2f ft of it; %s, %s, %s; %.1f %% waste.\n%s", p.Length.Feet(), count(len(p.Flats), "strip"),
				count(len(p.Blanks), "blank"), count(p.Slits, "slit"), p.WastePct(), slitProof(p))
		}
		if p.Note != "" {
			fmt.Fprintf(&b, " Note: %s.", p.Note)
		}
		if n := len(p.Not); n > 0 {
			fmt.Fprintf(&b, " Not slit yet: %s; see the JSON or the papers for why.", count(n, "place"))
		}
		b.WriteString("\n")
	}
	return b.String()
}

func inColour(id string) string {
	if id == "" {
		return ""
	}
	return ", " + id
}

// slitProof says how much less another plan could take.
func slitProof(p *trim.Slitting) string {
	if p.Optimal {
		return "Proven: no plan of such strips takes less."
	}
	return fmt.Sprintf("Proven: no plan takes less than %.2f ft; gap %.2f %%.", p.Bound.Feet(), 100*float64(p.Gap())/float64(p.Length))
}
