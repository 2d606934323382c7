package main

import (
	"fmt"

	"coilwright/job"
	"coilwright/problem"
)

type checkCmd struct {
	jobArg
	jsonFlag
}

// Run judges the job. Its findings are the answer, so they go to stdout.
func (c checkCmd) Run(w *world) error {
	finished := slowly(w.err, "judging the job")
	j, found := job.Read(c.Job)
	if !found.Fatal() {
		found = append(found, j.See(c.photos)...)
		found = append(found, j.Check()...)
	}
	finished()
	if c.JSON {
		if err := writeJSON(w.out, job.CheckAnswer{Problems: append(problem.List{}, found...)}); err != nil {
			return err
		}
	} else {
		for _, p := range found {
			fmt.Fprintln(w.out, p)
		}
		fmt.Fprintln(w.out, tally(c.Job, found))
	}
	if found.Fatal() {
		return errSaid
	}
	return nil
}

// tally sums up the findings in one line.
func tally(name string, found problem.List) string {
	errors := 0
	for _, p := range found {
		if p.Severity == problem.Error {
			errors++
		}
	}
	if len(found) == 0 {
		return name + ": nothing to mend"
	}
	return fmt.Sprintf("%s: %s, %s", name, count(errors, "error"), count(len(found)-errors, "warning"))
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
