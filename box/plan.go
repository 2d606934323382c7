package box

import "coilwright/measure"

// Part is one piece cut from a section: the N-th from the left (from the bottom of
// an upright strip) of a strip, lying from From to From + Length on it.
type Part struct {
	Strip, N     int
	From, Length measure.Length
}

// Section is one section bought, and what is cut from it. Left is its offcut.
type Section struct {
	Like  Like
	Parts []Part
	Left  measure.Length
}

// Group is all that is cut from one kind of section. Need is the least length of
// steel that its strips take: each with the fewest pieces and a lap between them.
type Group struct {
	Like
	Strips                int
	Need                  measure.Length
	Sections, Bare, Bound int
	Joints, FewestJoints  int
	Optimal               bool
}

// Rule is a rule of laying that a strip's joints could not keep.
type Rule string

// The rules, in the order in which they are given up where nothing else is left.
const (
	MorePieces Rule = "takes more pieces than the rule allows"
	NearCorner Rule = "has a joint near an opening's corner"
	NotApart   Rule = "has a joint too near one in the next course"
	TooShort   Rule = "has a piece shorter than the shortest"
)

// Compromise names a strip whose joints break a rule.
type Compromise struct {
	Strip int
	Rule  Rule
}

// Plan is strips laid in sections of one length.
//
// Bare is the bound that anyone can check: per group, Need divided by the length of
// a section, rounded up; no plan takes fewer, whatever rules it breaks. Bound is
// proven for plans that keep the rules, and Optimal says that Sections meets it.
// FewestJoints is a bound on joints, whatever the sections.
type Plan struct {
	Length               measure.Length // of a section
	Sections             []Section
	Groups               []Group
	Pieces, Joints       int
	FewestJoints         int
	Bare, Bound          int
	Optimal              bool
	Compromises          []Compromise
	Bought, Laps, Offcut measure.Length // running lengths, all groups together
}

// add puts a group's answer into the plan.
func (p *Plan) add(g Group) {
	p.Groups = append(p.Groups, g)
	p.Joints += g.Joints
	p.FewestJoints += g.FewestJoints
	p.Bare += g.Bare
	p.Bound += g.Bound
	p.Optimal = p.Optimal && g.Optimal
}
