package deploy_test

import (
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"github.com/rinktally/rinktally/integration/browser"
)

// offlineVariable says to the test that it runs without networks.
const offlineVariable = "RINKTALLY_TEST_OFFLINE"

// TestOffline runs itself again where the loopback interface is the only network,
// as in a rink without any: every page works there, and the scoreboard moves.
//
// Linux gives such a place to root, and on most systems to everybody.
func TestOffline(t *testing.T) {
	if os.Getenv(offlineVariable) != "" {
		offline(t)
		return
	}
	inside := exec.Command(os.Args[0], "-test.run=^TestOffline$", "-test.v", "-test.timeout=10m")
	inside.Env = append(os.Environ(), offlineVariable+"=yes", programVariable+"="+program)
	inside.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNET, Pdeathsig: syscall.SIGKILL}
	if os.Getuid() != 0 {
		inside.SysProcAttr.Cloneflags |= syscall.CLONE_NEWUSER
		inside.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
		inside.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
	}
	out, err := inside.CombinedOutput()
	t.Logf("%s", out)
	if err != nil {
		t.Fatalf("without networks: %v; where the system refuses a place without networks, run this test as root", err)
	}
}

// offline is the test in the place without networks.
func offline(t *testing.T) {
	if err := loopbackUp(); err != nil {
		t.Fatalf("the loopback interface: %v", err)
	}
	interfaces, err := net.Interfaces()
	if err != nil || len(interfaces) != 1 {
		t.Fatalf("want the loopback interface only, got %v, %v", interfaces, err)
	}
	if conn, err := net.Dial("udp", "192.0.2.1:53"); err == nil { // an address of documentation, RFC 5737
		conn.Close()
		t.Fatal("another network can be reached")
	}

	var clubPage string // a page of a club's own site, which embeds the scoreboard
	club := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprint(w, clubPage)
	}))
	defer club.Close()
	s := serve(t, "", "--demo", "--demo-speed", "5", "--cors-origins", club.URL)
	clubPage = fmt.Sprintf(`<!doctype html><html lang="en"><meta charset="utf-8"><title>Our club</title>
<link rel="icon" href="data:,"><script type="module" src="%[1]s/embed/scoreboard.js"></script>
<h1>Our club</h1><rinktally-scoreboard event="demo-cup" server="%[1]s"></rinktally-scoreboard></html>`, s.url)

	chrome := browser.Start(t)
	for _, path := range append(pages, club.URL) {
		if !strings.HasPrefix(path, "http") {
			path = s.url + path
		}
		page := chrome.Open(t, path, browser.Desk)
		page.Wait(`document.readyState === "complete" && document.body.innerText.trim() !== ""`)
		if strings.Contains(path, "/events/") || path == club.URL {
			moves(page)
		}
		for _, problem := range page.Problems() {
			t.Errorf("%s: %s", path, problem)
		}
		for _, loaded := range browser.Evaluate[[]string](page, `performance.getEntriesByType("resource").map((r) => r.name)`) {
			if !strings.HasPrefix(loaded, s.url+"/") && !strings.HasPrefix(loaded, "data:") {
				t.Errorf("%s loads %s", path, loaded)
			}
		}
	}
}

// moves waits until a page with a scoreboard shows something that it did not
// before.
func moves(page *browser.Page) {
	const shown = `(document.querySelector("rinktally-scoreboard").shadowRoot ?? document.body).textContent`
	page.Wait(`document.querySelector("rinktally-scoreboard") !== null && ` + shown + `.includes("Demo Cup")`)
	page.Wait(`(window.before ??= ` + shown + `) !== ` + shown)
}

// loopbackUp starts the loopback interface, which begins switched off.
func loopbackUp() error {
	socket, err := syscall.Socket(syscall.AF_INET, syscall.SOCK_DGRAM|syscall.SOCK_CLOEXEC, 0)
	if err != nil {
		return err
	}
	defer syscall.Close(socket)
	request := struct { // struct ifreq of netdevice(7)
		name  [syscall.IFNAMSIZ]byte
		flags uint16
		_     [22]byte
	}{flags: syscall.IFF_UP}
	copy(request.name[:], "lo")
	if _, _, fault := syscall.Syscall(syscall.SYS_IOCTL, uintptr(socket), syscall.SIOCSIFFLAGS, uintptr(unsafe.Pointer(&request))); fault != 0 {
		return fault
	}
	return nil
}
