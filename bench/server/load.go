package main

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"coilwright/change"
	"coilwright/store"
)

// edits times an edit to its drawn answer at 30 walls and 120 openings, one after
// another, every answer a new layout: for a page that holds the walls as it does while
// a person types, and for one that holds nothing and is sent the whole.
func (b *bench) edits() error {
	for _, who := range []struct {
		name  string
		holds bool
	}{{"a page that holds the other walls", true}, {"one that is sent the whole", false}} {
		if err := b.editsOf(who.name, who.holds); err != nil {
			return err
		}
	}
	return nil
}

func (b *bench) editsOf(who string, holds bool) error {
	j, err := b.job(30)
	if err != nil {
		return err
	}
	var all []time.Duration
	pieces, bytes, used := 0, 0, processor()
	for i := 0; len(all) < 200 && (len(all) < 20 || sum(all) < b.length); i++ {
		path := "/api/jobs/" + j.ID + "/changes?scheme=A"
		if holds {
			path += fmt.Sprint("&holds=", j.Revision)
		}
		began := time.Now()
		if j, err = b.send("POST", path, j.Revision, move(i%30, 36+float64(i%48)/16)); err != nil {
			return err
		}
		if j.Pieces == 0 {
			return errors.New("an edit was answered without a layout")
		}
		all, pieces, bytes = append(all, time.Since(began)), max(pieces, j.Pieces), j.Bytes
	}
	p50, p95 := percentile(all, 0.5), percentile(all, 0.95)
	b.say(p95 < 100*time.Millisecond, "edit to answer, 30 walls, 120 openings, %d pieces, for %s (%d kB): p50 %v, p95 %v of %d; %v of processor each, both sides (goal: p95 under 100 ms)",
		pieces, who, bytes/1000, p50, p95, len(all), (processor()-used)/time.Duration(len(all)))
	return nil
}

// processor is the processor time that this program has used: what other programs
// on the machine do is not in it.
func processor() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func sum(all []time.Duration) (total time.Duration) {
	for _, d := range all {
		total += d
	}
	return total
}

// pause is how long a person looks before the next edit.
const pause = 700 * time.Millisecond

// crowd lets people edit a job each: an ordinary house, an edit about each second.
func (b *bench) crowd(people int) error {
	var (
		wg     sync.WaitGroup
		mu     sync.Mutex
		all    []time.Duration
		failed []error
	)
	end, used := time.Now().Add(b.length+time.Second), processor()
	for p := range people {
		j, err := b.job(6)
		if err != nil {
			return err
		}
		wg.Go(func() {
			time.Sleep(time.Duration(p) * pause / time.Duration(people))
			for i := 0; time.Now().Before(end); i++ {
				began := time.Now()
				next, err := b.send("POST", "/api/jobs/"+j.ID+"/changes?scheme=A", j.Revision, move(i%6, 36+float64((i*7+p)%48)/16))
				took := time.Since(began)
				mu.Lock()
				if all = append(all, took); err != nil {
					failed = append(failed, err)
				} else {
					j = next
				}
				mu.Unlock()
				time.Sleep(pause)
			}
		})
	}
	wg.Wait()
	p95 := percentile(all, 0.95)
	b.say(p95 < 150*time.Millisecond && len(failed) == 0, "%d people on %d jobs, %d edits: p50 %v, p95 %v, %d errors; %v of processor each, both sides (goal: p95 under 150 ms, none)",
		people, people, len(all), percentile(all, 0.5), p95, len(failed), (processor()-used)/time.Duration(max(1, len(all))))
	return errors.Join(failed...)
}

// reads compares the endpoint that pages ask most, a job with its view, with a bare
// handler that reads one row of the same database.
func (b *bench) reads(askers int) error {
	j, err := b.job(6)
	if err != nil {
		return err
	}
	ours, err := b.rate(askers, b.url+"/api/jobs/"+j.ID)
	if err != nil {
		return err
	}
	api := b.url
	stop, err := b.serve(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		var document string
		if err := b.store.DB().QueryRowContext(r.Context(), "SELECT document FROM snapshots WHERE job = '"+j.ID+"' AND revision = 1").Scan(&document); err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		w.Write([]byte(document)) //nolint:errcheck // measured by the asker
	}))
	if err != nil {
		return err
	}
	defer stop()
	bare, err := b.rate(askers, b.url+"/")
	b.url = api
	b.say(ours >= bare/2, "busiest read, a job with its view: %.0f/s, a bare handler reading one row %.0f/s: ratio %.2f (goal: 0.5)", ours, bare, ours/bare)
	return err
}

// rate is how many answers a second so many askers get.
func (b *bench) rate(askers int, url string) (float64, error) {
	var (
		wg    sync.WaitGroup
		count atomic.Int64
		wrong atomic.Pointer[error]
	)
	began := time.Now()
	for range askers {
		wg.Go(func() {
			for time.Since(began) < b.length/2 {
				if err := fetch(b.client, url); err != nil {
					wrong.Store(&err)
					return
				}
				count.Add(1)
			}
		})
	}
	wg.Wait()
	if err := wrong.Load(); err != nil {
		return 0, *err
	}
	return float64(count.Load()) / time.Since(began).Seconds(), nil
}

// saves compares durable saves by one writer with those by many at once, each on a
// job of its own. The store is asked directly: nothing but saving is measured.
func (b *bench) saves(writers int) error {
	jobs := make([]answer, writers)
	for i := range jobs {
		var err error
		if jobs[i], err = b.job(4); err != nil {
			return err
		}
	}
	alone, err := b.job(4)
	if err != nil {
		return err
	}
	first := []answer{alone}
	var one, many saved
	var ratios []float64
	for range rounds { // in turn, so that what else the machine does meets both
		single, err := b.saving(first)
		if err != nil {
			return err
		}
		group, err := b.saving(jobs)
		if err != nil {
			return err
		}
		one.add(single)
		many.add(group)
		ratios = append(ratios, group.rate()/single.rate())
	}
	slices.Sort(ratios)
	ratio := ratios[len(ratios)/2]
	b.say(ratio >= 5, "durable saves: one writer %.0f/s (%v of processor each), %d writers %.0f/s (%v): ratio %.1f, the median of %d rounds, half of them %.1f to %.1f (goal: 5)",
		one.rate(), one.each(), writers, many.rate(), many.each(), ratio, len(ratios), ratios[len(ratios)/4], ratios[len(ratios)*3/4])
	return nil
}

// rounds is how often one writer and many take turns.
const rounds = 25

// saved is what was acknowledged in how long, and what it took of the processor.
type saved struct {
	count      int
	took, used time.Duration
}

func (s *saved) add(more saved) {
	s.count, s.took, s.used = s.count+more.count, s.took+more.took, s.used+more.used
}
func (s saved) rate() float64 { return float64(s.count) / s.took.Seconds() }
func (s saved) each() time.Duration {
	return (s.used / time.Duration(max(1, s.count))).Round(time.Microsecond)
}

// saving lets a writer for each job save for one round.
func (b *bench) saving(jobs []answer) (sum saved, err error) {
	var (
		wg     sync.WaitGroup
		mu     sync.Mutex
		failed error
	)
	began, used := time.Now(), processor()
	for n := range jobs {
		wg.Go(func() {
			j := &jobs[n]
			who := store.Who{Shop: store.Home, Account: fmt.Sprint(n), Name: "writer"}
			for time.Since(began) < b.length/2/rounds {
				p := change.Patch{{Op: change.Replace, Path: "/house/walls/0/openings/0/at/0", Value: []byte(fmt.Sprintf(`"%d/16 in"`, 576+j.Revision%64))}}
				saved, err := b.store.Change(context.Background(), who, j.ID, store.Edit{Base: j.Revision, What: "moved", Patch: p})
				mu.Lock()
				if err != nil {
					failed = err
					mu.Unlock()
					return
				}
				j.Revision = saved.Job.Revision
				sum.count++
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	sum.took, sum.used = time.Since(began), processor()-used
	return sum, failed
}
