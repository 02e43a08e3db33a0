package deploy_test

import (
	"bufio"
	"net/http"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"syscall"
	"testing"
	"time"
)

// BenchmarkReady measures a server from its start to the answer that it is ready, beside
// one that does nothing with the same libraries (testdata/bare), in turns: the medians
// of clock and processor time and of the most memory that it had. Limits: twice the bare
// server's processor time, 50 MiB.
func BenchmarkReady(b *testing.B) {
	bare := filepath.Join(b.TempDir(), "bare")
	if out, err := exec.Command("go", "build", "-o", bare, "./testdata/bare").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	var clock, used, most [2][]float64
	for b.Loop() {
		for i, cmd := range []*exec.Cmd{
			command(nil, "serve", "--data=", "--grpc-addr", "127.0.0.1:0", "--http-addr", "127.0.0.1:0"), exec.Command(bare),
		} {
			clock[i] = append(clock[i], untilReady(b, cmd).Seconds())
			state := cmd.ProcessState
			used[i] = append(used[i], (state.UserTime() + state.SystemTime()).Seconds())
			most[i] = append(most[i], float64(state.SysUsage().(*syscall.Rusage).Maxrss)/1024)
		}
	}
	b.ReportMetric(median(clock[0])/median(clock[1]), "of-bare")
	b.ReportMetric(median(used[0])/median(used[1]), "of-bare-cpu")
	b.ReportMetric(1000*median(clock[0]), "ms")
	b.ReportMetric(1000*median(used[0]), "cpu-ms")
	b.ReportMetric(1000*median(used[1]), "cpu-ms-bare")
	b.ReportMetric(median(most[0]), "MiB")
	b.ReportMetric(median(most[1]), "MiB-bare")
	b.ReportMetric(0, "ns/op")
}

var said = regexp.MustCompile(`http://127\.0\.0\.1:\d+`)

// untilReady starts a server, kills it once it is ready and returns how long that took.
func untilReady(b *testing.B, cmd *exec.Cmd) time.Duration {
	b.Helper()
	out, err := cmd.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	begun := time.Now()
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	url := ""
	for lines := bufio.NewScanner(out); url == "" && lines.Scan(); {
		url = said.FindString(lines.Text())
	}
	client := http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	for ready := false; !ready; {
		res, err := client.Get(url + "/readyz")
		if err != nil {
			b.Fatal(err)
		}
		ready = res.StatusCode == http.StatusOK
		_ = res.Body.Close()
	}
	took := time.Since(begun)
	_ = cmd.Process.Kill()
	_ = cmd.Wait() // that it was killed
	return took
}

func median(list []float64) float64 {
	slices.Sort(list)
	return list[len(list)/2]
}
