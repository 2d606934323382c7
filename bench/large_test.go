package bench

import (
	"testing"
	"time"

	"coilwright/coil"
	"coilwright/job"
)

// BenchmarkLargeHouse is how many times as long twice the house takes: its run planned,
// and laid in box siding for comparison. 2 is growth with the size; processor time.
func BenchmarkLargeHouse(b *testing.B) {
	var jobs [2]job.Job
	for k := range jobs {
		j, found := job.Parse("job", SiteJob(5000*(k+1)), nil)
		if err := found.Err(); err != nil {
			b.Fatal(err)
		}
		jobs[k] = j
	}
	for _, c := range []struct {
		name string
		do   func(j *job.Job) error
	}{
		{"run", func(j *job.Job) error { _, err := j.RunWithin("A", coil.Thorough); return err }},
		{"compare", func(j *job.Job) error { _, _, err := j.Compare("A"); return err }},
	} {
		b.Run(c.name, func(b *testing.B) {
			var spent [2]time.Duration
			for b.Loop() {
				for k := range jobs {
					start := processor()
					if err := c.do(&jobs[k]); err != nil {
						b.Fatal(err)
					}
					spent[k] += processor() - start
				}
			}
			b.ReportMetric(float64(spent[1])/float64(spent[0]), "times-for-twice")
		})
	}
}
