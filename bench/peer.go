package bench

import (
	"bufio"
	"io"
	"os"
	"os/exec"
)

// Python is Debian's, for which the peers' libraries are packaged.
const Python = "/usr/bin/python3"

// Peer is another program that solves the same problems, one line of JSON in and one
// out: started once, so that its start is not measured.
type Peer struct {
	In  io.WriteCloser
	Out *bufio.Reader
	run *exec.Cmd
}

// StartPeer starts a Python script, named from the repository's root.
func StartPeer(script string) (*Peer, error) {
	run := exec.Command(Python, script)
	run.Stderr = os.Stderr
	in, err := run.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := run.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := run.Start(); err != nil {
		return nil, err
	}
	return &Peer{in, bufio.NewReader(out), run}, nil
}

// Stop closes the peer's input, upon which it ends, and waits for it.
func (p *Peer) Stop() error {
	if err := p.In.Close(); err != nil {
		return err
	}
	return p.run.Wait()
}
