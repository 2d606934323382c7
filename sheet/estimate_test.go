package sheet

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"coilwright/job"
	"coilwright/price"
)

// priced are an example's schemes with their titles, taxes laid over its book.
func priced(t *testing.T, name, taxes string) (*job.Job, []string, []price.Estimate) {
	t.Helper()
	data, err := os.ReadFile("../examples/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	data = bytes.Replace(data, []byte(`"shop": { "use": "demo" }`), []byte(`"shop": {"use": "demo", "taxes": `+taxes+`}`), 1)
	j, found := job.Parse(name, data, nil)
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	var titles []string
	var all []price.Estimate
	for _, s := range j.Schemes {
		e, err := j.Price(s.ID)
		if err != nil {
			t.Fatal(err)
		}
		titles, all = append(titles, s.Title), append(all, e)
	}
	return &j, titles, all
}

const twoTaxes = `[{"title": "sales tax", "share": "0.0725", "on": ["material"], "except": ["starter_ft", "mill"]}, {"title": "service tax", "share": "0.0333", "on": ["labour", "other"]}]`

// The workbook library's own calculator works every formula out again: all totals
// agree to the cent.
func TestEstimateFormulas(t *testing.T) {
	j, titles, all := priced(t, "alder", twoTaxes)
	file, err := Estimates(j.Title, time.Unix(0, 0), j.Prices, titles, all)
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range all {
		name := f.GetSheetName(i)
		rows, err := f.GetRows(name)
		if err != nil {
			t.Fatal(err)
		}
		got := map[string]string{}
		for r := range rows {
			if len(rows[r]) > 1 {
				got[rows[r][1]], _ = f.CalcCellValue(name, fmt.Sprintf("F%d", r+1))
			}
		}
		sameSums(t, got, e)
	}
	again, err := Estimates(j.Title, time.Unix(0, 0), j.Prices, titles, all)
	if err != nil || !bytes.Equal(file, again) {
		t.Error("equal estimates give other bytes", err)
	}
}

func sameSums(t *testing.T, got map[string]string, e price.Estimate) {
	t.Helper()
	want := map[string]string{
		"direct cost": e.Direct.String(), "overhead, share of direct cost": e.Overhead.String(), "cost": e.Cost.String(),
		"price; margin as a share of it": e.Price.String(), "margin": e.Margin.String(), "total": e.Total.String(),
	}
	for _, x := range e.Taxes {
		want[x.Title+", share"] = x.Amount.String()
	}
	for what, amount := range want {
		plain, ok := new(big.Rat).SetString(strings.ReplaceAll(got[what], ",", ""))
		if exact, _ := new(big.Rat).SetString(amount); !ok || plain.Cmp(exact) != 0 {
			t.Errorf("scheme %s, %s: the spreadsheet has %q, the program %s", e.Scheme, what, plain, amount)
		}
	}
}

// LibreOffice works the workbook out and agrees to the cent.
func TestEstimateInLibreOffice(t *testing.T) {
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("LibreOffice is not installed (Debian: libreoffice-calc-nogui); the workbook is judged by its library's calculator alone")
	}
	j, titles, all := priced(t, "alder", twoTaxes)
	file, err := Estimates(j.Title, time.Unix(0, 0), j.Prices, titles, all)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "e.xlsx"), file, 0o600); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(office, "--headless", "-env:UserInstallation=file://"+dir+"/profile", "--convert-to",
		"csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1", "--outdir", dir, filepath.Join(dir, "e.xlsx"))
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for i, e := range all {
		text, err := os.ReadFile(filepath.Join(dir, "e-"+tabName(e.Scheme, i)+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		sameSums(t, amounts(t, text), e)
	}
}

// amounts reads the sums of a sheet's CSV: column B names, column F holds them.
func amounts(t *testing.T, text []byte) map[string]string {
	t.Helper()
	r := csv.NewReader(bytes.NewReader(text))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, row := range rows {
		if len(row) > 5 {
			got[row[1]] = row[5]
		}
	}
	return got
}
