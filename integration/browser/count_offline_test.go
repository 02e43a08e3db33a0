package browser_test

import (
	"crypto/sha256"
	"crypto/x509"
	"encoding/base64"
	"encoding/pem"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/integration/wasm"
	"github.com/rinktally/rinktally/server/config"
)

// reopened goes to the page's address again and reports whether it came.
func (th *thumb) reopened(address string) bool {
	th.t.Helper()
	th.Do(chromedp.Navigate("about:blank"))
	return th.Opens(address)
}

// countsOn counts a spin that has begun in no plan, and wants its level.
func (th *thumb) countsOn() {
	th.t.Helper()
	th.tap(`[data-edge=right]`)
	for range 3 {
		th.tap("#pad")
	}
	th.stands("CSpB", "1.10", "3") // the values of 2021-22
}

// TestCountOpensAgain opens the page at four kinds of address. An open page goes on
// without the server at each of them; it comes back only where the browser trusts the
// address, and says so before.
func TestCountOpensAgain(t *testing.T) {
	const season = "2021-22"
	const again, closed = "It opens again without one", "To open it again without one"
	engine := wasm.Built(t)
	data := t.TempDir()
	self := func(c *config.Config) { c.TLSSelf, c.Data = true, data }
	secure := browser.NewServerWith(t, engine, self)
	chrome := browser.Start(t, chromedp.Flag("host-resolver-rules", "MAP rink.example 127.0.0.1"))

	t.Run("this machine", func(t *testing.T) {
		server := browser.NewServerWith(t, engine)
		th := openCount(t, chrome, server.URL, season, atTheBoards)
		th.Wait(`document.querySelector("#network button")?.textContent === "` + again + `"`)
		address := browser.Ask(th.Page, chromedp.Location())
		server.Stop()
		if !th.reopened(address + "#season=" + season) {
			t.Fatal("it does not open again without the server")
		}
		th.Wait(`document.querySelector("main").dataset.ready === "" && document.querySelector("#network button")?.textContent === "` + again + `"`)
		th.countsOn()
	})

	t.Run("plain http", func(t *testing.T) {
		server := browser.NewServerWith(t, engine)
		address := strings.Replace(server.URL, "127.0.0.1", "rink.example", 1)
		th := openCount(t, chrome, address, season, atTheBoards)
		th.Wait(`document.getElementById("network").textContent.startsWith("No network needed")`)
		th.Do(browser.Click("#network button"))
		if said := th.Text("#offline"); !strings.Contains(said, "This page goes on while it is open.") || !strings.Contains(said, "Opening it again needs the network.") ||
			!strings.Contains(said, strings.TrimPrefix(address, "http://")) || strings.Contains(said, "Show me how") {
			t.Errorf("it says %q", said)
		}
		for _, barrier := range th.EveryBarrier() {
			t.Error(barrier)
		}
		th.Picture("count-offline")
		th.Do(browser.Click("#offline .buttons button"))
		server.Stop()
		th.countsOn()
		th.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("undo").click()`))
		beside := &thumb{Page: th.Beside("about:blank", atTheBoards), t: t}
		if beside.reopened(address + "/count") {
			t.Error("it opens again without the server")
		}
	})

	t.Run("a certificate that is not trusted", func(t *testing.T) {
		p := chrome.Open(t, "about:blank", atTheBoards)
		p.OpensAnyway(secure.URL + "/count#season=" + season)
		p.Wait(`document.querySelector("main")?.dataset.ready === "" && document.getElementById("network").textContent.startsWith("No network needed")`)
		if said := p.Text("#network button"); said != closed {
			t.Errorf("it says %q", said)
		}
		p.Do(browser.Click("#network button"), browser.Click("#offline a.button"), chromedp.WaitVisible("main.trust"))
		for _, barrier := range p.EveryBarrier() {
			t.Error(barrier)
		}
		p.Picture("count-trust")
		root := rootOf(t, data)
		kind := browser.Evaluate[string](p, `fetch(document.querySelector("main a.button").href).then(async (r) => r.headers.get("content-type") + " " + btoa(String.fromCharCode(...new Uint8Array(await r.arrayBuffer()))))`)
		if want := "application/x-x509-ca-cert " + base64.StdEncoding.EncodeToString(root.Raw); kind != want {
			t.Errorf("the page hands out %.60s, want %.60s", kind, want)
		}
	})

	t.Run("a root that is trusted", func(t *testing.T) {
		sum := sha256.Sum256(rootOf(t, data).RawSubjectPublicKeyInfo)
		trusting := browser.Start(t, chromedp.Flag("ignore-certificate-errors-spki-list", base64.StdEncoding.EncodeToString(sum[:])))
		th := openCount(t, trusting, secure.URL, season, atTheBoards)
		th.Wait(`document.querySelector("#network button")?.textContent === "` + again + `"`)
		address := secure.URL + "/count#season=" + url.QueryEscape(season)
		secure.Stop()
		if !th.reopened(address) {
			t.Fatal("it does not open again without the server")
		}
		th.Wait(`document.querySelector("main").dataset.ready === ""`)
		th.countsOn()
	})
}

// rootOf is the root that a server keeps in its data folder.
func rootOf(t *testing.T, data string) *x509.Certificate {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(data, "tls", "root.pem"))
	if err != nil {
		t.Fatal(err)
	}
	block, _ := pem.Decode(text)
	root, err := x509.ParseCertificate(block.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	return root
}
