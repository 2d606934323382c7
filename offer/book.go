package offer

import "math/big"

// Book is what a shop's book says for its offers, in the shop's own words. None of
// it is worked out, and nothing is said in the shop's place where it is missing.
type Book struct {
	Letterhead   Letterhead
	Plan         []Step
	DaysValid    int
	Terms        []string
	Warranty     string
	Cancellation string // the notice that the local law asks for, typed by the shop
	Scope        []Scope
	NotIncluded  []string
	Coating      string   // the coater's own words for it
	Practice     []string // how this shop lays the barrier and fastens panels
}

// Letterhead heads each paper that the owner sees.
type Letterhead struct {
	Name    string
	Address []string
	Phone   string
	Mail    string
	Licence string
	Country string // ISO 3166-1, two capital letters, for invoices; may be empty
	Logo    string // hash of a picture kept with the shop's files; empty: none
}

// Doer is who does a line of the scope.
type Doer string

// The doers. What is asked of the authority is decided there, by nobody here.
const (
	ByShop      Doer = "shop"
	ByOwner     Doer = "owner"
	ByUtility   Doer = "utility"
	ByAuthority Doer = "authority"
)

// Doers lists all.
var Doers = [...]Doer{ByShop, ByOwner, ByUtility, ByAuthority}

// Scope is one line of the work around the panels, as seen on the visit.
type Scope struct {
	What string
	By   Doer
	Note string
}

// Visit is what the visit to one house found out. Its scope, where there is any,
// stands in place of the book's.
type Visit struct {
	Owner         string
	Address       []string
	Start, Finish string // in the shop's words: a date, or "within 6 weeks"
	Scope         []Scope
	NotIncluded   []string
}

// Lack is something that the book must say before an offer can be sent.
type Lack struct{ Key, What, Mend string }

// Lacks names each of them.
func (b Book) Lacks() []Lack {
	var out []Lack
	need := func(has bool, key, what, mend string) {
		if !has {
			out = append(out, Lack{key, what, mend})
		}
	}
	need(b.Letterhead.Name != "" && len(b.Letterhead.Address) > 0 && b.Letterhead.Phone != "", "offer.letterhead",
		"the letterhead is not complete", "write letterhead with name, address and phone under offer in the shop's book")
	need(len(b.Plan) > 0, "offer.payments", "there is no payment plan", "write payments, each with when and share, adding up to 1")
	need(b.DaysValid > 0, "offer.days_valid", "it is not said how long an offer stands", "write days_valid, such as 30")
	need(len(b.Terms) > 0, "offer.terms", "there are no terms", "write terms, one text for each")
	need(b.Warranty != "", "offer.warranty", "there is no warranty text", `write warranty in your own words; "none" is one too`)
	need(b.Cancellation != "", "offer.cancellation", "there is no cancellation notice", "write cancellation as your local law asks for it")
	return out
}

// Whole says whether the shares of a plan add up to one.
func Whole(plan []Step) bool {
	for _, s := range plan {
		if s.Share == nil {
			return false
		}
	}
	return shares(plan).Cmp(big.NewRat(1, 1)) == 0
}

// shares is what a plan's shares, none of which is nil, add up to.
func shares(plan []Step) *big.Rat {
	sum := new(big.Rat)
	for _, s := range plan {
		sum.Add(sum, s.Share)
	}
	return sum
}

// Around is the scope of one house: the visit's own, or else the book's.
func (b Book) Around(v Visit) (scope []Scope, notIncluded []string) {
	scope, notIncluded = b.Scope, b.NotIncluded
	if len(v.Scope) > 0 {
		scope = v.Scope
	}
	if len(v.NotIncluded) > 0 {
		notIncluded = v.NotIncluded
	}
	return scope, notIncluded
}
