package events_test

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"strconv"
	"testing"
	"time"
)

// crowdVariable makes the test's program a crowd of watchers for another one.
const crowdVariable = "RINKTALLY_TEST_CROWD"

func init() {
	if watchers := os.Getenv(crowdVariable); watchers != "" {
		if err := beCrowd(watchers); err != nil {
			fmt.Fprintln(os.Stderr, "a crowd ended with:", err)
			os.Exit(1)
		}
		os.Exit(0)
	}
}

// kinds is how many watchers a crowd has: of whole boards over SSE and over gRPC, and
// of the changes over SSE as pages have them.
type kinds struct{ sse, streams, changes int }

func (k kinds) all() int { return k.sse + k.streams + k.changes }

// beCrowd joins watchers and reports, for each update that it is asked for, when the
// last of them had it.
func beCrowd(watchers string) error {
	var httpAddr, grpcAddr, bareAddr, event string
	var n kinds
	if _, err := fmt.Sscan(watchers, &httpAddr, &grpcAddr, &bareAddr, &event, &n.sse, &n.streams, &n.changes); err != nil {
		return err
	}
	crowds := map[string]*crowd{"event": {}, "bare": {}}
	for range n.all() {
		conn, err := net.Dial("tcp", bareAddr)
		if err != nil {
			return err
		}
		plain := &sseStream{conn: conn}
		plain.read(conn)
		crowds["bare"].add(plain)
	}
	if _, err := fmt.Scanln(); err != nil {
		return err
	}
	if err := crowds["event"].join(httpAddr, grpcAddr, event, n.sse, n.streams); err != nil {
		return err
	}
	for range n.changes {
		s, err := watchChanges(httpAddr, event)
		if err != nil {
			return err
		}
		crowds["event"].add(s)
	}
	for _, c := range crowds {
		c.read()
	}
	for {
		var which string
		var seq uint64
		if _, err := fmt.Scanln(&which, &seq); err != nil {
			return nil //nolint:nilerr // nobody asks any more
		}
		a := crowds[which].arrival(seq)
		<-a.last
		fmt.Println(a.at.UnixNano())
	}
}

// crowdProcess is a crowd in a process of its own.
type crowdProcess struct {
	in  io.Writer
	out *bufio.Scanner
}

// startCrowd starts a crowd that lives until the test ends.
func startCrowd(t testing.TB, httpAddr, grpcAddr, event string, loop *bareLoop, n kinds) *crowdProcess {
	t.Helper()
	watchers := fmt.Sprint(httpAddr, " ", grpcAddr, " ", loop.port.Addr(), " ", event, " ", n.sse, " ", n.streams, " ", n.changes)
	cmd := exec.Command(must(os.Executable()))
	cmd.Env = append(os.Environ(), crowdVariable+"="+watchers)
	var faults bytes.Buffer
	cmd.Stderr = &faults
	in, out := must(cmd.StdinPipe()), must(cmd.StdoutPipe())
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = in.Close()
		if err := cmd.Wait(); err != nil {
			t.Errorf("the crowd ended with: %v: %s", err, faults.Bytes())
		}
	})
	return &crowdProcess{in, bufio.NewScanner(out)}
}

// join lets the watchers join the event; before that only the bare sockets are
// connected.
func (p *crowdProcess) join() { fmt.Fprintln(p.in) }

// await returns the time at which the last watcher had an update.
func (p *crowdProcess) await(t testing.TB, which string, seq uint64) time.Time {
	t.Helper()
	fmt.Fprintln(p.in, which, seq)
	if !p.out.Scan() {
		t.Fatalf("the crowd is gone before it had update %d", seq)
	}
	return time.Unix(0, must(strconv.ParseInt(p.out.Text(), 10, 64)))
}

// bareLoop is sockets that are written to one after the other.
type bareLoop struct {
	port  net.Listener
	conns []net.Conn
}

func newBareLoop(t testing.TB, host string) *bareLoop {
	t.Helper()
	l := &bareLoop{port: must(net.Listen("tcp", host+":0"))}
	t.Cleanup(func() {
		_ = l.port.Close()
		for _, conn := range l.conns {
			_ = conn.Close()
		}
	})
	return l
}

// accept takes so many connections.
func (l *bareLoop) accept(n int) {
	for range n {
		l.conns = append(l.conns, must(l.port.Accept()))
	}
}

// write writes a board to all of them, as a Server-Sent Event.
func (l *bareLoop) write(seq uint64, board []byte) {
	event := fmt.Appendf(nil, "id: %d\nevent: scoreboard\ndata: %s\n\n", seq, board)
	for _, conn := range l.conns {
		_, _ = conn.Write(event)
	}
}
