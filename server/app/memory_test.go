package app

import (
	"context"
	"math"
	"runtime"
	"runtime/debug"
	"testing"
	"testing/fstest"
	"time"
)

// The soft limit follows the machine and every control group around the program.
func TestAvailableMemory(t *testing.T) {
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	machine := file("MemFree: 1 kB\nMemTotal:       4096 kB\n")
	for name, c := range map[string]struct {
		root fstest.MapFS
		want int64
	}{
		"nothing can be read": {fstest.MapFS{}, math.MaxInt64},
		"a machine":           {fstest.MapFS{"proc/meminfo": machine}, 4096 << 10},
		"a group without a limit": {fstest.MapFS{
			"proc/meminfo": machine, "proc/self/cgroup": file("0::/a/b\n"), "sys/fs/cgroup/a/b/memory.max": file("max\n"),
		}, 4096 << 10},
		"a group in one with a limit": {fstest.MapFS{
			"proc/meminfo": machine, "proc/self/cgroup": file("0::/a/b\n"),
			"sys/fs/cgroup/a/b/memory.max": file("max\n"), "sys/fs/cgroup/a/memory.max": file("2000\n"),
		}, 2000},
		"a container, whose group is the root": {fstest.MapFS{
			"proc/meminfo": machine, "proc/self/cgroup": file("0::/\n"), "sys/fs/cgroup/memory.max": file("3000\n"),
		}, 3000},
		"version 1": {fstest.MapFS{
			"proc/self/cgroup": file("5:cpu:/x\n4:memory:/docker/1\n"),
			"sys/fs/cgroup/memory/docker/1/memory.limit_in_bytes": file("1000\n"),
			"sys/fs/cgroup/memory/memory.limit_in_bytes":          file("9223372036854771712\n"),
		}, 1000},
	} {
		if got := available(c.root); got != c.want {
			t.Errorf("%s: %d bytes, want %d", name, got, c.want)
		}
	}
}

func TestMemoryLimit(t *testing.T) {
	before, percent := debug.SetMemoryLimit(-1), debug.SetGCPercent(100)
	t.Cleanup(func() {
		debug.SetMemoryLimit(before)
		debug.SetGCPercent(percent)
	})
	t.Setenv("GOMEMLIMIT", "")
	if limit := SettleMemory(0); limit <= 0 || limit > mostMemory || limit != debug.SetMemoryLimit(-1) {
		t.Errorf("by default the limit is %d", limit)
	}
	if limit := SettleMemory(300 << 20); limit != 300<<20 {
		t.Errorf("the limit that was asked for is %d", limit)
	}
	t.Setenv("GOMEMLIMIT", "200MiB") // read by Go as the program starts
	if limit := SettleMemory(100 << 20); limit != 300<<20 {
		t.Errorf("with GOMEMLIMIT the limit became %d", limit)
	}
}

var crowd [][]byte

// What a crowd took is given back to the system once all is calm, and not before.
func TestMemoryComesBack(t *testing.T) {
	const size, took = 1 << 20, 200
	held := func() uint64 {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.Sys - m.HeapReleased
	}
	percent := debug.SetGCPercent(-1) // as if the next sweep were far away
	t.Cleanup(func() { debug.SetGCPercent(percent) })
	debug.FreeOSMemory()
	begin := held()
	ctx, stop := context.WithCancel(t.Context())
	ticks, ended := make(chan time.Time), make(chan struct{})
	go func() {
		returnMemory(ctx, ticks)
		close(ended)
	}()
	ticks <- time.Time{}
	for range took {
		part := make([]byte, size)
		for i := 0; i < size; i += 4096 {
			part[i] = 1
		}
		crowd = append(crowd, part)
	}
	ticks <- time.Time{} // under load
	ticks <- time.Time{} // the one before is through
	if grown := held() - begin; grown < took*size/2 {
		t.Errorf("only %d bytes are held under load", grown)
	}
	crowd = nil
	runtime.GC() // as Go does every two minutes
	ticks <- time.Time{}
	ticks <- time.Time{}
	stop()
	<-ended
	if now := held(); now > begin+spareMemory {
		t.Errorf("%d MiB are held, %d at the beginning", now>>20, begin>>20)
	}
}
