package bench

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/xuri/excelize/v2"

	"coilwright/draw"
	"coilwright/job"
	"coilwright/offer"
	"coilwright/opendata"
	"coilwright/photo"
	"coilwright/price"
	"coilwright/proposal"
	"coilwright/sheet"
)

// What an offer may cost, as its issue asks: the estimate of the demo job with its three
// schemes, and a proposal of 12 pages with 6 pictures. Reported beside what was measured;
// processor time, since the machine may have other work.
const (
	estimateGoal = 200 * time.Millisecond
	proposalGoal = 2 * time.Second
	proposalMost = 6_000_000
)

// processor is the time that this process has spent so far, all its threads together.
func processor() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// measured runs do and reports its processor time, and that of a goal.
func measured(b *testing.B, goal time.Duration, do func() error) time.Duration {
	start := processor()
	for b.Loop() {
		if err := do(); err != nil {
			b.Fatal(err)
		}
	}
	each := (processor() - start) / time.Duration(b.N)
	b.ReportMetric(float64(each.Microseconds())/1000, "cpu-ms")
	if goal > 0 {
		b.ReportMetric(float64(each)/float64(goal), "of-goal")
	}
	return each
}

// beside reports how many times as long as a peer's something takes.
func beside(b *testing.B, ours, peer time.Duration) {
	if peer > 0 {
		b.ReportMetric(float64(ours)/float64(peer), "x-peer")
	}
}

// demoFile is the demo job's text.
func demoFile(tb testing.TB) []byte {
	tb.Helper()
	text, err := os.ReadFile("../examples/alder.json")
	if err != nil {
		tb.Fatal(err)
	}
	return text
}

// estimates reads a job and prices every scheme of it, nothing kept from before.
func estimates(text []byte) (*job.Job, []price.Estimate, error) {
	j, found := job.Parse("demo", text, nil)
	if err := found.Err(); err != nil {
		return nil, nil, err
	}
	var all []price.Estimate
	for _, s := range j.Schemes {
		e, err := j.Price(s.ID)
		if err != nil {
			return nil, nil, err
		}
		all = append(all, e)
	}
	return &j, all, nil
}

// BenchmarkEstimate is the demo job from its text to three priced schemes: read, laid
// out, its coil planned, priced. The peer is a spreadsheet's calculator, which only works
// the sums of the same estimates out again.
func BenchmarkEstimate(b *testing.B) {
	text := demoFile(b)
	j, all, err := estimates(text)
	if err != nil || len(all) != 3 {
		b.Fatal(len(all), err)
	}
	file, err := sheet.Estimates(j.Title, time.Unix(0, 0), j.Prices, []string{"a", "b", "c"}, all)
	if err != nil {
		b.Fatal(err)
	}
	var peer time.Duration
	b.Run("peer=spreadsheet", func(b *testing.B) { peer = measured(b, 0, func() error { return sumsAgain(file) }) })
	b.Run("schemes=3", func(b *testing.B) {
		beside(b, measured(b, estimateGoal, func() error { _, _, err := estimates(text); return err }), peer)
	})
}

// sumsAgain opens a workbook and works every amount of it out.
func sumsAgain(file []byte) error {
	f, err := excelize.OpenReader(bytes.NewReader(file))
	if err != nil {
		return err
	}
	defer f.Close() //nolint:errcheck // read only
	for _, name := range f.GetSheetList() {
		rows, err := f.GetRows(name)
		if err != nil {
			return err
		}
		for r := range rows {
			if _, err := f.CalcCellValue(name, fmt.Sprintf("F%d", r+1)); err != nil {
				return err
			}
		}
	}
	return nil
}

// sixPhotos are files of photographs from the open data.
func sixPhotos(tb testing.TB) [][]byte {
	tb.Helper()
	folder, err := opendata.Find("photos")
	if err != nil {
		tb.Skip("the open data's photographs are not there: ", err)
	}
	names, _ := filepath.Glob(filepath.Join(folder, "*.jpg"))
	if len(names) < 6 {
		tb.Fatalf("%d photographs in the open data, six are needed", len(names))
	}
	var out [][]byte
	for _, name := range names[:6] {
		data, err := os.ReadFile(name)
		if err != nil {
			tb.Fatal(err)
		}
		out = append(out, data)
	}
	return out
}

// proposalOf draws the demo job's proposal with photographs, from files to PDF.
func proposalOf(j *job.Job, files [][]byte) ([]byte, error) {
	day := time.Date(2031, 5, 4, 10, 0, 0, 0, time.UTC)
	in := proposal.Input{Job: j, Date: day, Until: day.AddDate(0, 0, 30), Revision: 1}
	for _, s := range j.Schemes {
		o, err := proposal.OptionOf(j, s.ID, job.Frozen{Complete: []byte("{}"), Kind: offer.First, Until: in.Until})
		if err != nil {
			return nil, err
		}
		in.Options = append(in.Options, o)
	}
	for i, data := range files {
		p, err := proposal.PictureOf(data, fmt.Sprint("The house, ", i+1))
		if err != nil {
			return nil, err
		}
		in.Pictures = append(in.Pictures, p)
	}
	return proposal.Offer(in)
}

// photosAlone writes the same photographs, as small, with the PDF library alone.
func photosAlone(files [][]byte) error {
	pdf := fpdf.New("P", "mm", "Letter", "")
	for i, data := range files {
		p, err := photo.Decode(data)
		if err != nil {
			return err
		}
		small, _, _, err := draw.Photo(p.Image, 1500)
		if err != nil {
			return err
		}
		pdf.AddPage()
		as := fpdf.ImageOptions{ImageType: "JPG"}
		pdf.RegisterImageOptionsReader(fmt.Sprint(i), as, bytes.NewReader(small))
		pdf.ImageOptions(fmt.Sprint(i), 20, 20, 170, 0, false, as, 0, "")
	}
	return pdf.Output(&bytes.Buffer{})
}

// BenchmarkProposal is the paper of the demo job's three options with six photographs:
// priced, photographs made smaller, drawn, written. The peer is the PDF library writing
// those photographs and nothing else.
func BenchmarkProposal(b *testing.B) {
	files := sixPhotos(b)
	j, _, err := estimates(demoFile(b))
	if err != nil {
		b.Fatal(err)
	}
	var peer time.Duration
	b.Run("peer=photos-alone", func(b *testing.B) { peer = measured(b, 0, func() error { return photosAlone(files) }) })
	b.Run("pictures=6", func(b *testing.B) {
		var pdf []byte
		each := measured(b, proposalGoal, func() (err error) { pdf, err = proposalOf(j, files); return err })
		beside(b, each, peer)
		b.ReportMetric(float64(len(pdf))/1e6, "MB")
		b.ReportMetric(float64(len(pdf))/proposalMost, "of-6MB")
	})
}

// TestProposalSize: the proposal with six photographs stays below 6 MB.
func TestProposalSize(t *testing.T) {
	j, _, err := estimates(demoFile(t))
	if err != nil {
		t.Fatal(err)
	}
	pdf, err := proposalOf(j, sixPhotos(t))
	if err != nil || len(pdf) > proposalMost {
		t.Errorf("%d bytes, %v", len(pdf), err)
	}
	t.Logf("%.2f MB", float64(len(pdf))/1e6)
}
