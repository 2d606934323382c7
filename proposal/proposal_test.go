package proposal

import (
	"bytes"
	"encoding/json"
	"image"
	"image/color"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"coilwright/job"
	"coilwright/measure"
	"coilwright/offer"
	"coilwright/photo"
)

var day = time.Date(2031, 5, 4, 10, 0, 0, 0, time.UTC)

func example(t *testing.T, name string) *job.Job {
	t.Helper()
	data, err := os.ReadFile("../examples/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	j, found := job.Parse(name, data, nil)
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	return &j
}

func input(t *testing.T, name string) Input {
	t.Helper()
	j := example(t, name)
	in := Input{Job: j, Date: day, Until: day.AddDate(0, 0, 30), Revision: 3}
	for _, s := range j.Schemes {
		o, err := OptionOf(j, s.ID, job.Frozen{Complete: []byte("{}"), Kind: offer.First, Until: in.Until})
		if err != nil {
			t.Fatal(err)
		}
		in.Options = append(in.Options, o)
	}
	return in
}

// pictures are photographs from the shared data where they are there, else noise,
// which compresses worse than any photograph.
func pictures(t *testing.T, n int) []Picture {
	t.Helper()
	files, _ := filepath.Glob("../../shared/data/photos/*.jpg")
	more, _ := filepath.Glob("../../shared/data/photos/*/*.jpg")
	files = append(files, more...)
	var out []Picture
	for i := range n {
		p := Picture{Caption: "The house as it is, seen from corner " + strconv.Itoa(i+1)}
		if i < len(files) {
			data, err := os.ReadFile(files[i])
			if err != nil {
				t.Fatal(err)
			}
			pic, err := photo.Decode(data)
			if err != nil {
				t.Fatal(err)
			}
			p.Image = pic.Image
		} else {
			img := image.NewRGBA(image.Rect(0, 0, 1600, 1200))
			for k := range img.Pix {
				img.Pix[k] = uint8(k * (k>>8 + i)) //nolint:gosec // noise
			}
			img.Set(0, 0, color.White)
			p.Image = img
		}
		out = append(out, p)
	}
	return out
}

func written(t *testing.T, pdf []byte) string {
	t.Helper()
	at := filepath.Join(t.TempDir(), "x.pdf")
	if dir := os.Getenv("OFFER_OUT"); dir != "" {
		at = filepath.Join(dir, strings.ReplaceAll(t.Name(), "/", "-")+".pdf")
	}
	if err := os.WriteFile(at, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	return at
}

func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skip(name + " is not installed")
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// An offer with six pictures: sound by qpdf, small, with every word an owner needs
// as real text, and equal for equal inputs.
func TestOffer(t *testing.T) {
	in := input(t, "alder")
	in.Pictures = pictures(t, 6)
	start := time.Now()
	pdf, err := Offer(in)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d kB, %d ms", len(pdf)/1000, time.Since(start).Milliseconds())
	if len(pdf) > 6_000_000 {
		t.Errorf("the offer has %d bytes", len(pdf))
	}
	again, err := Offer(in)
	if err != nil || !bytes.Equal(pdf, again) {
		t.Error("equal inputs give other bytes", err)
	}
	at := written(t, pdf)
	tool(t, "qpdf", "--check", at)
	text := strings.Join(strings.Fields(tool(t, "pdftotext", "-layout", at, "-")), " ")
	for _, want := range []string{
		"Demo Shop (invented)", "Pat Alder (invented)", "Dutch lap, slate", "Vertical skirt", "Every side", "south", "By the utility", "Not included", "on signing",
		"To pay in all", "Steel thickness, decimal", "0.0190 in, with its coating", "Bid 2", "Joints on this house", "right to cancel", "lead", "asbestos", in.Options[0].Digest,
		money("USD", in.Options[1].Offer.Total), "stands until 3 June 2031", "its ends stand back", "170 °F",
		"covers 1' ", // the vertical panel of the second option, in section
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the offer does not say %q", want)
		}
	}
	for _, private := range []string{"margin", "hanger_hour", in.Options[0].Estimate.Cost.String()} {
		if strings.Contains(strings.ToLower(text), private) {
			t.Errorf("the offer tells the owner %q", private)
		}
	}
	info := tool(t, "pdfinfo", at)
	if !strings.Contains(info, "Title:") || !strings.Contains(info, "Alder Row 7") {
		t.Errorf("%s", info)
	}
}

// Prices stand in one line however long the options' names are; a side that comes to another page
// than its option's name has the name over it again; the longest piece is the one that is cut.
func TestOfferReadsByItself(t *testing.T) {
	in := input(t, "alder")
	pdf, err := Offer(in)
	if err != nil {
		t.Fatal(err)
	}
	at := written(t, pdf)
	var prices []string
	for _, o := range in.Options {
		prices = append(prices, regexp.QuoteMeta(money("USD", o.Offer.Total)))
	}
	beside := tool(t, "pdftotext", "-layout", "-f", "2", "-l", "2", at, "-")
	if !regexp.MustCompile(strings.Join(prices, ` +`)).MatchString(beside) {
		t.Errorf("prices apart:\n%s", beside)
	}
	for page := 3; page < 6; page++ {
		text := tool(t, "pdftotext", "-f", strconv.Itoa(page), "-l", strconv.Itoa(page), at, "-")
		side, name := strings.Index(text, " wide, "), -1
		for _, o := range in.Options {
			if at := strings.Index(text, in.Job.Schemes[o.Scheme].Title); at >= 0 && (name < 0 || at < name) {
				name = at
			}
		}
		if side >= 0 && (name < 0 || name > side) {
			t.Errorf("page %d begins with a side of no option:\n%s", page, text)
		}
	}
	whole := tool(t, "pdftotext", at, "-")
	longest := regexp.MustCompile(`longest piece on your house,\s+([^,]+),`).FindStringSubmatch(whole)
	if longest == nil || !regexp.MustCompile(`Longest piece in one length\s+`+regexp.QuoteMeta(longest[1])).MatchString(whole) {
		t.Errorf("two longest pieces: %q", longest)
	}
}

// Every section is a bookmark that leads to the page with its heading, by qpdf and
// pdftotext; letters are real text, by fonts that know their Unicode; title, subject and
// language are told.
func TestOfferIsFoundIn(t *testing.T) {
	pdf, err := Offer(input(t, "alder"))
	if err != nil {
		t.Fatal(err)
	}
	at := written(t, pdf)
	var read struct {
		Outlines []struct {
			Title string
			Page  int `json:"destpageposfrom1"`
		}
	}
	if err := json.Unmarshal([]byte(tool(t, "qpdf", "--json", "--json-key=outlines", at)), &read); err != nil {
		t.Fatal(err)
	}
	var titles []string
	for _, o := range read.Outlines {
		titles = append(titles, o.Title)
		page := strconv.Itoa(o.Page)
		if text := tool(t, "pdftotext", "-f", page, "-l", page, at, "-"); o.Page < 1 || o.Page > 1 && !strings.Contains(text, o.Title) {
			t.Errorf("the bookmark %q leads to page %d, which does not have it", o.Title, o.Page)
		}
	}
	want := []string{"Offer", "The options side by side", "Every side of the house", "What is done", "Price, payments and days", "How it will be hung",
		"Like for like: compare every bid by the same questions", "What we stand for, and your rights", "Agreed"}
	if !slices.Equal(titles, want) {
		t.Errorf("bookmarks %q", titles)
	}
	info := tool(t, "pdfinfo", at)
	for _, row := range []string{"Title:           Offer: steel siding, Alder Row 7 (invented)", "Subject:         Demo Shop (invented)"} {
		if !strings.Contains(info, row) {
			t.Errorf("no %q in\n%s", row, info)
		}
	}
	for _, row := range strings.Split(strings.TrimSpace(tool(t, "pdffonts", at)), "\n")[2:] {
		if f := strings.Fields(row); len(f) < 8 || f[len(f)-3] != "yes" || f[len(f)-5] != "yes" {
			t.Errorf("a font that is not embedded or knows no Unicode: %s", row)
		}
	}
	if !bytes.Contains(pdf, []byte("/Lang (en)")) {
		t.Error("the paper's language is not told")
	}
}

// A window moved after signing: the change order says what differs, in pieces,
// steel, hours and money, and marks where.
func TestChangeOrder(t *testing.T) {
	before := input(t, "alder")
	j := example(t, "alder")
	for k := range j.House.Walls[0].Openings[0].Outline {
		j.House.Walls[0].Openings[0].Outline[k].X += 12 * measure.Inch
	}
	after, err := OptionOf(j, "A", job.Frozen{Complete: []byte("{}"), Kind: offer.Changed, Instead: before.Options[0].Digest, Why: "Window S1 moved a foot to the right.", Until: day.AddDate(0, 0, 14)})
	if err != nil {
		t.Fatal(err)
	}
	in := Change{Job: j, Before: before.Options[0].Offer, After: after, Date: day, Until: day.AddDate(0, 0, 14)}
	s, err := after.Offer.Sign("Pat Alder", after.Digest, "M 0 0 L 10 5 L 20 -3 M 25 0 L 30 8", nil, day)
	if err != nil {
		t.Fatal(err)
	}
	in.Signed = &Signed{Owner: s}
	pdf, err := ChangeOrder(in)
	if err != nil {
		t.Fatal(err)
	}
	at := written(t, pdf)
	tool(t, "qpdf", "--check", at)
	text := strings.Join(strings.Fields(tool(t, "pdftotext", "-layout", at, "-")), " ")
	if strings.Contains(text, "none ft") {
		t.Error("a difference of nothing has a unit")
	}
	for _, want := range []string{"Window S1 moved a foot", "other in size or shape", "Hours of work", money("USD", after.Offer.Total), "hatched", "Pat Alder", after.Digest} {
		if !strings.Contains(text, want) {
			t.Errorf("the change order does not say %q in\n%s", want, text)
		}
	}
}

func TestInvoice(t *testing.T) {
	j := example(t, "alder")
	i := offer.Invoice{
		Number: "2031-001", Issued: day, Due: Due(day, 14), Currency: "USD", From: Party("Shop", []string{"1 Lane", "Town"}, "US"),
		To: Party("Pat", []string{"7 Row"}, ""), Items: []offer.Item{{What: "Slate: on signing", Amount: "3431.37"}},
		Taxes: []offer.TaxItem{{Title: "sales tax", Percent: "7", Base: "1000.00", Amount: "70.00"}}, AlreadyPaid: "0.00",
	}
	pdf, err := Invoice(j, i, nil, 2)
	if err != nil {
		t.Fatal(err)
	}
	at := written(t, pdf)
	tool(t, "qpdf", "--check", at)
	text := strings.Join(strings.Fields(tool(t, "pdftotext", "-layout", at, "-")), " ")
	for _, want := range []string{"Invoice 2031-001", "USD 3,431.37", "USD 3,501.37", "18 May 2031", "7 % of USD 1,000.00"} {
		if !strings.Contains(text, want) {
			t.Errorf("the invoice does not say %q", want)
		}
	}
}

func TestMoney(t *testing.T) {
	for amount, want := range map[string]string{"0.00": "X 0.00", "999": "X 999", "1234567.89": "X 1,234,567.89", "-1000.5": "X -1,000.5"} {
		if got := money("X", amount); got != want {
			t.Errorf("%s: %q", amount, got)
		}
	}
}

// Whatever comes as a drawn signature is strokes or is refused.
func TestStrokes(t *testing.T) {
	for _, bad := range []string{"L 0 0", "M 0", "M 0 0 Z 1 1", "M NaN 0", "M 1e9 0", "<svg>", "M 0 0 L 1 Infinity", strings.Repeat("M 0 0 ", mostStrokes+1)} {
		if s, err := Strokes(bad); err == nil {
			t.Errorf("%.40q: %v", bad, s)
		}
	}
	if s, err := Strokes("M 0 0.5 L 10 -2 M 3 3"); err != nil || len(s) != 2 || len(s[0]) != 2 {
		t.Error(s, err)
	}
}

// The sides that stand side by side show every zone of every option that two sides can.
func TestTellingSides(t *testing.T) {
	in := input(t, "alder")
	p := &paper{in: in, job: in.Job}
	shown := map[[2]int]bool{}
	for _, w := range p.telling() {
		for k, o := range in.Options {
			for _, z := range o.Layout.Zones {
				if z.Wall == w {
					shown[[2]int{k, z.Zone}] = true
				}
			}
		}
	}
	for k, o := range in.Options {
		for z := range in.Job.Schemes[o.Scheme].Zones {
			if !shown[[2]int{k, z}] {
				t.Errorf("option %d: zone %d is not shown", k, z)
			}
		}
	}
}

// Lengths and temperatures of a metric job are metric, a difference of nothing is none.
func TestMetricWords(t *testing.T) {
	metric, feet := &paper{job: &job.Job{Units: measure.Metric}}, &paper{job: &job.Job{}}
	for got, want := range map[string]string{
		metric.degrees(-20): "-29 °C", feet.degrees(170): "170 °F", metric.longer(-1_500_000_000): "-1.50 m", feet.longer(304_800_000): "+1.00 ft", feet.longer(0): "none",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// Houses of every kind make an offer, in metric too, with many schemes or one.
func TestOffersOfAllExamples(t *testing.T) {
	for _, name := range []string{"ranch", "cross-gable", "townhouses", "fzk-house", "citygml-house"} {
		j := example(t, name)
		in := Input{Job: j, Date: day, Until: day.AddDate(0, 0, 30)}
		o, err := OptionOf(j, j.Schemes[0].ID, job.Frozen{Complete: []byte("{}"), Until: in.Until})
		if err != nil {
			t.Fatal(name, err)
		}
		in.Options = []Option{o, o, o, o, o}
		pdf, err := Offer(in)
		if err != nil {
			t.Fatal(name, err)
		}
		t.Run(name, func(t *testing.T) { tool(t, "qpdf", "--check", written(t, pdf)) })
	}
}

// TestLeftOpen: what nobody measured is never told as exact.
func TestLeftOpen(t *testing.T) {
	for known, want := range map[int]string{0: "do not say yet", 1: "and more from walls that are not measured yet", 4: "what the measurements leave open"} {
		j := example(t, "alder")
		for i := range j.House.Walls {
			j.House.Walls[i].Measured.PlusMinus = -1
			if i < known {
				j.House.Walls[i].Measured.PlusMinus = measure.Inch
			}
		}
		o, err := OptionOf(j, "A", job.Frozen{Complete: []byte("{}"), Kind: offer.First, Until: day})
		if err != nil {
			t.Fatal(err)
		}
		if got := leftOpen(o.Estimate, len(j.House.Walls)); !strings.Contains(got, want) || strings.Contains(got, " 0.00") {
			t.Errorf("%d walls measured: %s", known, got)
		}
	}
}

// A book that does not say how the studs stand promises nothing of it.
func TestStudsUnsaid(t *testing.T) {
	in := input(t, "alder")
	in.Job.Book.Trim.StudSpacing = 0
	pdf, err := Offer(in)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(tool(t, "pdftotext", "-layout", written(t, pdf), "-")), " ")
	if !strings.Contains(text, "wherever they stand") || strings.Contains(text, "looked for every") {
		t.Error("the offer tells a spacing of studs that the book does not say")
	}
}
