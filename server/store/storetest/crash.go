package storetest

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
)

// Crashing is a store as crashes are tested on it: streams of records, which requests
// add and by which they can be repeated.
type Crashing interface {
	// Put adds so many records of a request to a stream, each with the request's id and
	// its place among them as its body, "7.3/0".
	Put(ctx context.Context, stream, request string, n int) (store.Result, error)
	// All returns a whole stream.
	All(t testing.TB, stream string) []store.Record
	Close() error
}

// Opens opens a store at a place.
type Opens func(ctx context.Context, place string) (Crashing, error)

// Logs opens logs for crashes.
func Logs(open func(context.Context, string) (store.Log, error)) Opens {
	return func(ctx context.Context, place string) (Crashing, error) {
		log, err := open(ctx, place)
		if err != nil {
			return nil, err
		}
		return crashingLog{log}, nil
	}
}

type crashingLog struct{ store.Log }

func (l crashingLog) Put(ctx context.Context, stream, request string, n int) (store.Result, error) {
	return insist(ctx, l.Log, stream, request, n)
}

func (l crashingLog) All(t testing.TB, stream string) []store.Record { return all(t, l.Log, stream) }

// Crash says how to let a store crash.
type Crash struct {
	Kind  string       // one of Child's
	Place string       // what its Opens takes
	Open  Opens        // that of Child
	Fail  func() error // nil, or lets the database crash and start again
}

// Names of the environment by which a test tells its child what to do.
const (
	childKind  = "RINKTALLY_CRASH_KIND"
	childPlace = "RINKTALLY_CRASH_CHILD"
	childRound = "RINKTALLY_CRASH_ROUND"
	roundsName = "RINKTALLY_CRASH_ROUNDS"
)

// callers append at the same time in a child, each pair to one stream.
const callers = 4

// Child turns the test's own program into one that appends until it is killed,
// if RunCrash has started it, and does nothing otherwise. TestMain calls it
// first, with what opens each kind of store.
func Child(kinds map[string]Opens) {
	place, ok := os.LookupEnv(childPlace)
	if !ok {
		return
	}
	ctx := context.Background()
	log, err := persist(ctx, func() (Crashing, error) { return kinds[os.Getenv(childKind)](ctx, place) })
	if err != nil {
		fmt.Println("fail open", err)
		os.Exit(1)
	}
	var wait sync.WaitGroup
	for caller := range callers {
		wait.Go(func() {
			for i := range 500 {
				a := attempt{
					stream:  fmt.Sprintf("crash/%s/%d", os.Getenv(childRound), caller/2),
					request: fmt.Sprintf("%d.%d", caller, i), n: 1 + (caller+i)%3,
				}
				// One write each, so that lines of two callers do not mix.
				_, _ = os.Stdout.WriteString(a.line("try", store.Result{}))
				result, err := a.carryOut(ctx, log)
				if err != nil {
					_, _ = os.Stdout.WriteString("fail " + err.Error() + "\n")
					return
				}
				_, _ = os.Stdout.WriteString(a.line("did", result))
			}
		})
	}
	wait.Wait()
	os.Exit(0)
}

// attempt is one request of a child.
type attempt struct {
	stream, request string
	n               int
}

func (a attempt) line(word string, r store.Result) string {
	return fmt.Sprintf("%s %s %s %d %d %d\n", word, a.stream, a.request, a.n, r.First, r.Last)
}

// carryOut appends as a careful caller does, until it is done.
func (a attempt) carryOut(ctx context.Context, log Crashing) (store.Result, error) {
	return persist(ctx, func() (store.Result, error) { return log.Put(ctx, a.stream, a.request, a.n) })
}

// persist repeats what fails because the store cannot be reached.
func persist[T any](ctx context.Context, do func() (T, error)) (T, error) {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	for {
		result, err := do()
		if !errors.Is(err, store.ErrUnavailable) || ctx.Err() != nil {
			return result, err
		}
		select { // leave the processor to the one that starts
		case <-ctx.Done():
		case <-time.After(5 * time.Millisecond):
		}
	}
}

// RunCrash kills a program that appends, at a random moment, again and again,
// and in every second round the database if the crash can do that. After each
// kill it repeats what was not acknowledged. Then all that was ever tried is
// there once, and what was acknowledged is where the acknowledgement said.
//
// There are 20 rounds, or as many as RINKTALLY_CRASH_ROUNDS says.
func RunCrash(t *testing.T, crash Crash) {
	rounds := 20
	if text := os.Getenv(roundsName); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 {
			t.Fatalf("%s is %q; allowed: the number of rounds", roundsName, text)
		}
		rounds = n
	}
	answers := map[string]map[string]store.Result{} // by stream and request
	var acknowledged, repeated, silent int
	for round := range rounds {
		done, open := crash.round(t, round)
		log, err := persist(t.Context(), func() (Crashing, error) { return crash.Open(t.Context(), crash.Place) })
		if err != nil {
			t.Fatalf("round %d: open after the crash: %v", round, err)
		}
		acknowledged += len(done)
		for a := range open {
			result, err := a.carryOut(t.Context(), log)
			if err != nil {
				t.Fatalf("round %d: repeat %+v: %v", round, a, err)
			}
			if repeated++; result.Replayed {
				silent++ // written, but the answer was lost
			}
			done[a] = result
		}
		touched := map[string]bool{}
		for a, result := range done {
			if answers[a.stream] == nil {
				answers[a.stream] = map[string]store.Result{}
			}
			answers[a.stream][a.request] = result
			touched[a.stream] = true
		}
		for stream := range touched {
			match(t, log.All(t, stream), answers[stream])
		}
		if round == rounds-1 { // nothing old was lost by a later crash
			for stream := range answers {
				match(t, log.All(t, stream), answers[stream])
			}
		}
		if err := log.Close(); err != nil {
			t.Fatal(err)
		}
		if t.Failed() {
			t.Fatalf("round %d", round)
		}
	}
	t.Logf("%d crashes: %d requests acknowledged before, %d repeated after, of which %d had been written",
		rounds, acknowledged, repeated, silent)
	if acknowledged == 0 || repeated == 0 {
		t.Error("the crashes came at no interesting moment")
	}
}

// round starts a child, kills it, and returns what it had acknowledged and what
// it had only begun.
func (crash *Crash) round(t *testing.T, round int) (done map[attempt]store.Result, begun map[attempt]bool) {
	t.Helper()
	child := exec.CommandContext(t.Context(), os.Args[0]) //nolint:gosec // the test's own program
	child.Env = append(os.Environ(), childKind+"="+crash.Kind, childPlace+"="+crash.Place, fmt.Sprintf("%s=%d", childRound, round))
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	done, begun = map[attempt]store.Result{}, map[attempt]bool{}
	lines := bufio.NewReader(out)
	// Line by line, any number of them from none to past the first commits: the
	// child is by then anywhere in the work behind that line.
	read := func(most int) {
		for range most {
			text, err := lines.ReadString('\n')
			if err != nil {
				if !errors.Is(err, io.EOF) && !errors.Is(err, os.ErrClosed) {
					t.Error(err)
				}
				return
			}
			note(t, text, done, begun)
		}
	}
	//nolint:gosec // any moment is as good as another
	moment := func() int { return rand.IntN(120) }
	read(moment())
	if crash.Fail != nil && round%2 == 1 {
		if err := crash.Fail(); err != nil {
			t.Fatalf("crash of the database: %v", err)
		}
		read(moment())
	}
	if err := child.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	read(1 << 30) // what it had said before
	_ = child.Wait()
	return done, begun
}

// note takes a line of a child. A line that the kill has cut is none.
func note(t *testing.T, text string, done map[attempt]store.Result, begun map[attempt]bool) {
	t.Helper()
	var word string
	var a attempt
	var r store.Result
	if _, err := fmt.Sscanf(text, "%s %s %s %d %d %d\n", &word, &a.stream, &a.request, &a.n, &r.First, &r.Last); err != nil || !strings.HasSuffix(text, "\n") {
		t.Errorf("the child says %q", text)
		return
	}
	switch word {
	case "try":
		begun[a] = true
	case "did":
		delete(begun, a)
		done[a] = r
	}
}
