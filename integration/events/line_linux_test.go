package events_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"runtime"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// BenchmarkLossyLine measures as BenchmarkFanOut does, with watchers whose line takes 60
// ms each way and loses one packet of a hundred, and who are sent changes as pages are.
// What the line costs by itself is what the bare loop needs over it. 500 watchers take
// three minutes to join. It needs root, or a network of its own:
//
//	unshare --net --map-root-user sh -c 'ip link set lo up && go test ./integration/events -run - -bench LossyLine -benchtime 200x'
func BenchmarkLossyLine(b *testing.B) {
	const delay, lost = 60 * time.Millisecond, 0.01
	for _, watchers := range []int{1, 50, 500} {
		b.Run(fmt.Sprint(watchers), func(b *testing.B) {
			there := newLine(b, delay, lost)
			benchFanOut(b, rink, there, kinds{changes: watchers})
		})
	}
}

// The two ends of a line, in a network for examples (RFC 5737).
const rink, home = "192.0.2.1", "192.0.2.2"

// newLine makes a line from the network of this process to another one. Each packet
// takes a while, and of those of each way so many are lost. there runs what starts a
// program in the other network.
func newLine(t testing.TB, delay time.Duration, lost float64) (there func(start func())) {
	t.Helper()
	near := newEnd(t, rink, home)
	here, other := must(os.Open("/proc/thread-self/ns/net")), (*os.File)(nil)
	within := func(run func()) {
		runtime.LockOSThread() // the network is a thread's, and of what it starts
		defer runtime.UnlockOSThread()
		defer func() { must(0, unix.Setns(int(here.Fd()), unix.CLONE_NEWNET)) }()
		run()
	}
	within(func() {
		must(0, unix.Unshare(unix.CLONE_NEWNET))
		other = must(os.Open("/proc/thread-self/ns/net"))
		far := newEnd(t, home, rink)
		go carry(near, far, delay, lost)
		go carry(far, near, delay, lost)
	})
	t.Cleanup(func() { _, _ = here.Close(), other.Close() })
	return func(start func()) {
		within(func() {
			must(0, unix.Setns(int(other.Fd()), unix.CLONE_NEWNET))
			start()
		})
	}
}

// newEnd makes a device whose packets this process reads and writes.
func newEnd(t testing.TB, own, peer string) *os.File {
	t.Helper()
	fd, err := unix.Open("/dev/net/tun", unix.O_RDWR|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		t.Fatal(err)
	}
	const name = "line"
	request := must(unix.NewIfreq(name))
	request.SetUint16(unix.IFF_TUN | unix.IFF_NO_PI)
	if err := unix.IoctlIfreq(fd, unix.TUNSETIFF, request); err != nil {
		t.Fatalf("no device for the line can be made, which needs root: %v", err)
	}
	for _, arguments := range [][]string{
		{"address", "add", own, "peer", peer, "dev", name},
		{"link", "set", name, "txqueuelen", "100000", "up"}, // it loses what carry does and nothing else
	} {
		if out, err := exec.Command("ip", arguments...).CombinedOutput(); err != nil {
			t.Fatalf("ip %v: %v: %s", arguments, err, out)
		}
	}
	end := os.NewFile(uintptr(fd), name)
	t.Cleanup(func() { _ = end.Close() })
	return end
}

// carry takes packets from one end to the other until that is closed.
func carry(from, to *os.File, delay time.Duration, lost float64) {
	type packet struct {
		due  time.Time
		data []byte
	}
	way := make(chan packet, 100_000)
	defer close(way)
	go func() {
		for p := range way {
			time.Sleep(time.Until(p.due))
			_, _ = to.Write(p.data)
		}
	}()
	data := make([]byte, 1<<16)
	for {
		n, err := from.Read(data)
		if err != nil {
			return
		}
		if rand.Float64() >= lost {
			way <- packet{time.Now().Add(delay), bytes.Clone(data[:n])}
		}
	}
}
