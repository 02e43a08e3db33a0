package app

import (
	"context"
	"io/fs"
	"math"
	"os"
	"path"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"strconv"
	"strings"
	"time"
)

// gcPercent lets the heap grow to five times what lives before it is swept. What
// lives is the tables that were asked for and the events, some tens of megabytes;
// every call leaves a few kilobytes behind, so that sweeping at twice the heap, Go's
// own choice, happens many times a second under load.
const gcPercent = 400

// mostMemory is the soft limit where nothing else is said. A full hall lives in a
// third of it; what is beyond is swept instead of kept.
const mostMemory = 1 << 30

// SettleMemory makes the program sweep its memory less often than Go does by
// itself, and more often near a limit in bytes; 0 is 1 GiB, or three quarters of
// what the machine or its container has, if that is less. The variables GOGC and
// GOMEMLIMIT win. It returns the limit in force.
func SettleMemory(limit int64) int64 {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(gcPercent)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		if limit == 0 {
			limit = min(mostMemory, available(os.DirFS("/"))/4*3)
		}
		debug.SetMemoryLimit(limit)
	}
	return debug.SetMemoryLimit(-1)
}

// available returns the bytes of memory that the machine or a control group around
// the program has, whichever is less, as Linux shows it in its file system. What
// cannot be read there limits nothing.
func available(root fs.FS) int64 {
	least := int64(math.MaxInt64)
	take := func(text string, unit int64) {
		if n, err := strconv.ParseInt(strings.TrimSpace(text), 10, 64); err == nil && n > 0 && n <= math.MaxInt64/unit {
			least = min(least, n*unit)
		}
	}
	read := func(name string) string {
		data, _ := fs.ReadFile(root, name)
		return string(data)
	}
	for line := range strings.Lines(read("proc/meminfo")) {
		if kilobytes, ok := strings.CutPrefix(line, "MemTotal:"); ok {
			take(strings.TrimSuffix(strings.TrimSpace(kilobytes), "kB"), 1<<10)
		}
	}
	for line := range strings.Lines(read("proc/self/cgroup")) {
		// Version 2 has one group, "0::/system.slice/rinktally.service"; in version 1 the
		// one of memory is "4:memory:/docker/…". Every group around it limits as well.
		fields := strings.SplitN(strings.TrimSpace(line), ":", 3)
		if len(fields) != 3 {
			continue
		}
		mount, file := "sys/fs/cgroup", "memory.max"
		switch fields[1] {
		case "":
		case "memory":
			mount, file = "sys/fs/cgroup/memory", "memory.limit_in_bytes"
		default:
			continue
		}
		for group := path.Clean("/" + fields[2]); ; group = path.Dir(group) {
			take(read(path.Join(mount, group, file)), 1)
			if group == "/" {
				break
			}
		}
	}
	return least
}

// Memory is looked at every memoryEvery, and given back when more than spareMemory
// is held beside what lives.
const (
	memoryEvery = time.Minute
	spareMemory = 64 << 20
)

// ReturnMemory returns the memory of a crowd that has gone back to the system until
// the context ends. Go by itself would keep several times what lives. That is known
// from the last sweep, which Go makes every two minutes if nothing else asks for one.
func ReturnMemory(ctx context.Context) {
	ticker := time.NewTicker(memoryEvery)
	defer ticker.Stop()
	returnMemory(ctx, ticker.C)
}

func returnMemory(ctx context.Context, ticks <-chan time.Time) {
	living := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	var m runtime.MemStats // empty, so that the first minute is not calm: reading it would hold up the start
	for {
		allocated := m.TotalAlloc
		select {
		case <-ctx.Done():
			return
		case <-ticks:
		}
		runtime.ReadMemStats(&m)
		metrics.Read(living)
		held := m.HeapSys - m.HeapReleased
		// Under load the memory would only be asked for again, and sweeping all of it
		// takes time that the load needs.
		calm := m.TotalAlloc-allocated < held/4
		if calm && held > living[0].Value.Uint64()+spareMemory {
			debug.FreeOSMemory()
		}
	}
}
