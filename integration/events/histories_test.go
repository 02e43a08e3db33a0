package events_test

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/integration/rounds"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/store/history"
	"github.com/rinktally/rinktally/server/store/pgtest"
)

// faultsName is the variable that says how often each fault comes.
const faultsName = "RINKTALLY_FAULT_ROUNDS"

// hall is where desks call servers while things fail, and what they were answered.
type hall struct {
	admin  string
	event  *killing // whose marks the desks give
	record *history.Recorder
	conns  []*grpc.ClientConn

	answered, failed chan struct{} // one for each attempt, while somebody waits
	over             chan struct{}
}

// faulty is a fault, which begins, and then ends.
type faulty struct {
	name   string
	begin  func(t *testing.T) (end func())
	hidden bool // calls are answered all the same
}

// histories lets desks call servers while one fault comes after the other, and checks
// that all that they were answered is as if one log had done one thing after the other,
// and each request once.
func histories(t *testing.T, admin string, conns []*grpc.ClientConn, faults []faulty) {
	h := &hall{admin: admin, event: &killing{admin: admin, place: map[string]uint64{}}, conns: conns,
		answered: make(chan struct{}), failed: make(chan struct{}), over: make(chan struct{})}
	h.event.prepare(t, conns[0])
	h.record = &history.Recorder{Base: uint64(h.event.setup)}
	times := rounds.Of(t, faultsName, 1)
	ctx, cancel := context.WithTimeout(t.Context(), time.Duration(1+times*len(faults))*patience)
	defer cancel()
	var desks sync.WaitGroup
	for judge := int32(1); judge <= killJudges; judge++ {
		desks.Go(func() { h.desk(ctx, t, judge) })
	}
	for range times {
		for _, f := range faults {
			h.await(ctx, t, h.answered, step)
			end := f.begin(t)
			if f.hidden {
				h.await(ctx, t, h.answered, step)
			} else {
				h.await(ctx, t, h.failed, 1)
			}
			end()
		}
	}
	h.await(ctx, t, h.answered, step)
	close(h.over)
	desks.Wait()
	for caller, conn := range conns { // what each server says in the end
		h.read(ctx, caller, conn, uint64(h.event.setup))
	}
	if err := h.record.Check(); err != nil {
		t.Error(err)
	}
	calls, open := h.record.Calls()
	t.Logf("%d faults: %d appends and reads, of which %d reads were not answered", times*len(faults), calls, open)
}

// step is how many times desks are answered between two faults.
const step = 6

// await waits until desks were answered, or not, so many times.
func (h *hall) await(ctx context.Context, t *testing.T, signal chan struct{}, times int) {
	t.Helper()
	for range times {
		select {
		case <-signal:
		case <-ctx.Done():
			t.Fatal("nothing happens any more")
		}
	}
}

func say(signal chan struct{}) {
	select {
	case signal <- struct{}{}:
	default: // nobody waits
	}
}

// desk enters marks one after the other, at each server in turn. What is not answered it
// repeats at the next one, and gives it more time.
func (h *hall) desk(ctx context.Context, t *testing.T, judge int32) {
	var last uint64 // where the last mark stands
	for number := 0; ; number++ {
		select {
		case <-h.over:
			return
		case <-ctx.Done():
			return
		default:
		}
		id := fmt.Sprintf("%d-%d", judge, number)
		done := h.record.Append(int(judge), id, 1)
		const short = 200 * time.Millisecond
		for attempt := 0; ; attempt++ {
			limited, cancel := context.WithTimeout(ctx, short<<min(attempt, 8))
			_, seq, err := h.event.mark(limited, h.conns[(int(judge)+number+attempt)%len(h.conns)], judge, number)
			cancel()
			if err == nil {
				done(seq)
				last = seq
				say(h.answered)
				break
			}
			say(h.failed)
			if code := status.Code(err); ctx.Err() != nil || code != codes.Unavailable && code != codes.DeadlineExceeded {
				t.Errorf("judge %d: %v", judge, err)
				return
			}
		}
		if number%5 == int(judge) {
			limited, cancel := context.WithTimeout(ctx, 10*short)
			h.read(limited, int(judge), h.conns[number%len(h.conns)], max(uint64(h.event.setup), last-5))
			cancel()
		}
	}
}

// read reads the facts of the event behind a number to the end. What it finds is as of
// its last page, the empty one.
func (h *hall) read(ctx context.Context, caller int, conn *grpc.ClientConn, after uint64) {
	done := h.record.Read(caller, after)
	var requests []string
	for page := 1; page > 0; {
		res, err := pb.NewEventServiceClient(conn).ListFacts(with(ctx, h.admin), &pb.ListFactsRequest{
			Event: killCup, AfterSequence: after + uint64(len(requests)), PageSize: 1000,
		})
		if err != nil {
			return // nobody knows
		}
		page = len(res.GetFacts())
		for _, f := range res.GetFacts() {
			requests = append(requests, f.GetRequestId())
		}
	}
	done(requests)
}

// station is a server in a process of its own behind a wire.
type station struct {
	*process
	wire *wire
	conn *grpc.ClientConn
}

func (p program) station(t *testing.T, kept ...string) *station {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s := &station{process: p.serve(t, kept...)}
	s.wire = newWire(t, listener, "tcp", s.GRPC)
	s.conn = dial(t, listener.Addr().String(), grpc.WithConnectParams(grpc.ConnectParams{MinConnectTimeout: time.Second}))
	return s
}

// faults are what happens to a server and on the way to it.
func (s *station) faults(p program, kept ...string) []faulty {
	return []faulty{
		{"killed", func(t *testing.T) func() {
			s.Kill()
			return func() {
				s.process = p.serve(t, kept...)
				s.wire.lead("tcp", s.GRPC)
			}
		}, false},
		{"frozen", func(t *testing.T) func() {
			signal := func(sig syscall.Signal) {
				if err := s.Cmd.Process.Signal(sig); err != nil {
					t.Error(err)
				}
			}
			signal(syscall.SIGSTOP)
			return func() { signal(syscall.SIGCONT) }
		}, false},
		{"cut off", func(*testing.T) func() { s.wire.cut(); return s.wire.heal }, false},
		{"held up", func(*testing.T) func() { s.wire.hold(); return s.wire.heal }, false},
	}
}

// oneServer lets everything fail that can with a data folder.
func oneServer(t *testing.T, p program) {
	data := []string{"--data", t.TempDir()}
	admin := p.Admin(t, data...)
	s := p.station(t, data...)
	histories(t, admin, []*grpc.ClientConn{s.conn}, s.faults(p, data...))
	p.checkWhole(t, data...)
}

// twoServers lets everything fail that can with two servers on a PostgreSQL, of which
// one reaches it through a wire.
func twoServers(t *testing.T, p program) {
	cluster := newCluster(t)
	direct := []string{"--data", t.TempDir(), "--store", cluster.URL("postgres")}
	admin := p.Admin(t, direct...)
	toDatabase, far := databaseWire(t, cluster)
	kept := []string{"--data", t.TempDir(), "--store", far}
	a, b := p.station(t, kept...), p.station(t, direct...)
	faults := append(a.faults(p, kept...), b.faults(p, direct...)...)
	faults = append(faults,
		faulty{"database cut off from one", func(*testing.T) func() { toDatabase.cut(); return toDatabase.heal }, false},
		faulty{"database held up from one", func(*testing.T) func() { toDatabase.hold(); return toDatabase.heal }, false},
		faulty{"database killed", func(t *testing.T) func() {
			if err := cluster.Stop(syscall.SIGKILL); err != nil {
				t.Error(err)
			}
			return func() {
				if err := cluster.Start(); err != nil {
					t.Error(err)
				}
			}
		}, false},
		faulty{"database frozen", func(t *testing.T) func() {
			thaw, err := cluster.Freeze()
			if err != nil {
				t.Error(err)
			}
			return thaw
		}, false},
	)
	histories(t, admin, []*grpc.ClientConn{a.conn, b.conn}, faults)
	p.checkWhole(t, direct...)
}

// TestClocksJump lets two servers' clocks jump by hours and years in both directions
// while desks mark at both.
func TestClocksJump(t *testing.T) {
	shared := inDatabase(newCluster(t).URL("postgres"))
	var faults []faulty
	var servers []*server
	var conns []*grpc.ClientConn
	for range 2 {
		var ahead atomic.Int64
		s := startAt(t, func() time.Time { return day().Add(time.Duration(ahead.Load())) }, shared)
		servers, conns = append(servers, s), append(conns, s.conn(t))
		for _, by := range []time.Duration{3 * time.Hour, -3 * time.Hour, 11 * 365 * 24 * time.Hour, -24 * time.Hour} {
			faults = append(faults, faulty{"clock jumps by " + by.String(), func(*testing.T) func() {
				ahead.Store(int64(by))
				return func() { ahead.Store(0) }
			}, true})
		}
	}
	histories(t, servers[0].admin, conns, faults)
}

// databaseWire makes a wire to a PostgreSQL, and returns the address behind it.
func databaseWire(t *testing.T, cluster *pgtest.Cluster) (*wire, string) {
	t.Helper()
	const socket = ".s.PGSQL.5432" // https://www.postgresql.org/docs/current/runtime-config-connection.html
	address, err := url.Parse(cluster.URL("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	query := address.Query()
	near, err := os.MkdirTemp("", "rinktally-wire-") // short, as the path of a socket must be
	listener, fault := net.Listen("unix", filepath.Join(near, socket))
	if err := errors.Join(err, fault); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(near) })
	w := newWire(t, listener, "unix", filepath.Join(query.Get("host"), socket))
	query.Set("host", near)
	address.RawQuery = query.Encode()
	return w, address.String()
}
