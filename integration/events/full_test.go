package events_test

import (
	"io"
	"io/fs"
	"net/http"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// The disk takes no more in the middle of a segment. The desks are told so and by
// what; everybody else goes on reading; and when there is room again the desks go
// on where they were. A limit on the size of the process's files stands for the
// disk: unlike a small disk it needs no rights.
func fullDisk(t *testing.T, p program) {
	data := t.TempDir()
	admin := p.Admin(t, "--data", data)
	s := p.serve(t, "--data", data)
	conn := dial(t, s.GRPC)
	d := newDesk("desk", admin, conn)
	var following <-chan followed
	event, refused := "", 0
	d.before = func(calls int) {
		switch calls {
		case 150: // some more calls find room, and the write-ahead log still grows
			s.limitFiles(t, strconv.FormatInt(largest(t, data)+16<<10, 10))
		case 900:
			s.limitFiles(t, "0")
		}
	}
	d.failed = func(err error) {
		if refused++; refused%5 != 0 {
			return
		}
		if status.Code(err) != codes.ResourceExhausted || reason(err) != pb.ErrorReason_STORE_FULL.String() || !strings.Contains(err.Error(), "free some space") {
			t.Errorf("a full disk is told by %v", err)
		}
		readable(t, s, event)
		if ready := s.readyz(t); !strings.Contains(ready, "full") {
			t.Errorf("on a full disk /readyz says %s", ready)
		}
		s.limitFiles(t, "unlimited")
	}
	id := play(t, d, func(e string) {
		event = e
		following = follow(t, conn, event)
	})
	all := facts(t, conn, admin, id)
	checkFacts(t, "a disk that was full", all)
	checkResults(t, conn, id)
	if f := checkFollowed(t, "who watches", following, all); f.joined != 1 {
		t.Errorf("who watches joined %d times", f.joined)
	}
	if ready := s.readyz(t); strings.Contains(ready, "full") {
		t.Errorf("with room again /readyz says %s", ready)
	}
	if refused != 10 {
		t.Errorf("%d calls were refused, want 5 in each of 2 times that the disk was full", refused)
	}
	p.checkWhole(t, "--data", data)
	// A new event needs room for its season's table too.
	s.limitFiles(t, "0")
	_, err := pb.NewEventServiceClient(conn).CreateEvent(with(t.Context(), admin), &pb.CreateEventRequest{Event: "late-cup", Name: "Late Cup", StartDate: "2026-03-14", Season: "2024-25"})
	if reason(err) != pb.ErrorReason_STORE_FULL.String() {
		s.Kill()
		t.Errorf("a new event on a full disk: %v\n%s", err, s.Log.String())
	}
}

// readable checks that whatever changes nothing is answered.
func readable(t *testing.T, s *process, event string) {
	t.Helper()
	for _, conn := range s.both(t) {
		if _, err := pb.NewScoreboardServiceClient(conn).GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: event}); err != nil {
			t.Errorf("the scoreboard on a full disk: %v", err)
		}
		if _, err := pb.NewEventServiceClient(conn).GetEvent(t.Context(), &pb.GetEventRequest{Event: event}); err != nil {
			t.Errorf("reading on a full disk: %v", err)
		}
	}
}

// readyz is what the server says of its own state.
func (s *process) readyz(t *testing.T) string {
	t.Helper()
	res, err := http.Get(s.HTTP + "/readyz")
	if err != nil {
		t.Error(err)
		return ""
	}
	defer func() { _ = res.Body.Close() }()
	body, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		t.Errorf("/readyz: %d, %v", res.StatusCode, err)
	}
	return string(body)
}

// limitFiles lets no file that the process writes grow beyond so many bytes.
func (s *process) limitFiles(t *testing.T, bytes string) {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), "prlimit", "--pid", strconv.Itoa(s.Cmd.Process.Pid), "--fsize="+bytes+":").CombinedOutput()
	if err != nil {
		t.Errorf("prlimit: %v: %s", err, out)
	}
}

// largest returns the size of the largest file in a folder.
func largest(t *testing.T, folder string) int64 {
	t.Helper()
	most := int64(0)
	err := filepath.WalkDir(folder, func(_ string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		if err == nil {
			most = max(most, info.Size())
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
	return most
}
