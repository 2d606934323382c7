// Command coilwright turns a measured house into a cut list, a machine run and the
// papers for machine and wall. This package holds flags and wiring, nothing else.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/alecthomas/kong"

	"coilwright/problem"
)

// Exit codes of the contract.
const (
	done      = 0
	jobWrong  = 1 // the job has an error, or an answer could not be written
	lineWrong = 2 // the command line is wrong
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// app is the command line.
type app struct {
	Check   checkCmd   `cmd:"" help:"Read a job and judge it: what is wrong, where, and how to mend it."`
	Layout  layoutCmd  `cmd:"" help:"Lay a scheme out on the house: datum, courses, and every piece with its length."`
	Run     runCmd     `cmd:"" help:"Plan the machine's run: set-ups, pieces in order, coils to use and to buy."`
	Price   priceCmd   `cmd:"" help:"Price every scheme from its own pieces: steel, trim, hours, overhead and margin, and what each adds or saves."`
	Offer   offerCmd   `cmd:"" help:"Write the offer for the owner, its options side by side, and the shop's own estimate as a workbook."`
	Book    bookCmd    `cmd:"" help:"Write the book's prices and rates as CSV or XLSX, or read them back for a shop's book."`
	Compare compareCmd `cmd:"" help:"Set the scheme beside box siding in fixed sections on the same walls: steel, waste, joints, pieces, weight."`
	Measure measureCmd `cmd:"" help:"Work sizes out of marks on a photo, each with its plus-minus."`
	Tape    tapeCmd    `cmd:"" help:"List what to measure on the next visit: the numbers not yet fit to cut from, in walking order, and the one that helps most."`
	Picture pictureCmd `cmd:"" help:"Paint a scheme on a photo of the house: its courses, the panel's shadows, the photo's own light."`
	Solid   solidCmd   `cmd:"" help:"Write the whole house in a scheme as a body to turn around, glTF 2.0."`
	Sheets  sheetsCmd  `cmd:"" help:"Make the papers: wall drawings, run sheet, piece lists, coil and trim list."`
	Serve   serveCmd   `cmd:"" help:"Serve the page: draw houses, choose siding, see every piece, print the papers."`
	Demo    demoCmd    `cmd:"" help:"Write demo.json, an invented job to start from, into this folder."`
	Schema  schemaCmd  `cmd:"" help:"Print the exact description of the job file and of every answer, as JSON Schemas."`
	Version versionCmd `cmd:"" help:"Say which version of the program this is."`
}

const about = `From a measured house to a cut list, a machine run and papers for machine and wall.

A job is one file: the house as measured, the schemes (which panel goes where) and the shop's own book. Write one to start from with "coilwright demo".

Local code, the panel maker's instructions and licensed practice win over what this program says.`

// world is what a command may touch.
type world struct {
	in       io.Reader
	out, err io.Writer
}

// run carries out one command line and gives the exit code.
func run(args []string, in io.Reader, out, err io.Writer) int {
	var line app
	exited := -1
	parser := kong.Must(&line,
		kong.Name("coilwright"), kong.Description(about),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, NoExpandSubcommands: true}),
		kong.Writers(out, err),
		kong.Exit(func(code int) { exited = code }), // after --help
	)
	parser.Model.HelpFlag.Help = "Say what a command does and what it takes."
	chosen, wrong := parser.Parse(args)
	switch {
	case exited >= 0:
		return exited
	case wrong != nil:
		return report(err, &usageError{mend(wrong, parser)})
	}
	return report(err, chosen.Run(&world{in, out, err}))
}

// mend says what would be right where the library says only what is wrong.
func mend(wrong error, parser *kong.Kong) string {
	text := wrong.Error()
	var p *kong.ParseError
	if !errors.As(wrong, &p) || p.Context == nil {
		return text
	}
	command := p.Context.Selected()
	name, stray := strings.CutPrefix(text, "unexpected argument ")
	switch {
	case stray && command == nil:
		var all []string
		for _, c := range parser.Model.Children {
			all = append(all, c.Name)
		}
		name, guess, guessed := strings.Cut(name, ", did you mean ")
		if guessed {
			return fmt.Sprintf("there is no command %q; did you mean %s", name, guess)
		}
		return fmt.Sprintf("there is no command %q; write one of %s", name, strings.Join(all, ", "))
	case strings.HasPrefix(text, "expected \"<") && command != nil:
		return fmt.Sprintf("%s; write it as: coilwright %s", text, command.Summary())
	}
	return text
}

// usageError is a command line that cannot be carried out.
type usageError struct{ what string }

func (e *usageError) Error() string { return e.what }

// errSaid is a job's error that the answer itself has told.
var errSaid = errors.New("the job has errors")

// report says what went wrong and gives the exit code.
func report(w io.Writer, err error) int {
	var (
		usage  *usageError
		failed *problem.Failure
	)
	switch {
	case err == nil:
		return done
	case errors.Is(err, errSaid):
		return jobWrong
	case errors.As(err, &usage):
		fmt.Fprintf(w, "coilwright: %v\nTry \"coilwright --help\".\n", err)
		return lineWrong
	case errors.As(err, &failed):
		for _, p := range failed.Problems {
			fmt.Fprintln(w, p)
		}
		return jobWrong
	}
	fmt.Fprintf(w, "coilwright: %v\n", err)
	return jobWrong
}
