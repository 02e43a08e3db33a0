package browser_test

import (
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/rinktally/rinktally/integration/browser"
	"github.com/rinktally/rinktally/server/config"
)

// The world watches a copy: the same page, with how old it is; and the organiser sees
// where the event is sent.
func TestWorldWatchesACopy(t *testing.T) {
	const token = "lakeside-rink-0123456789"
	data := t.TempDir()
	far := browser.NewServer(t, func(c *config.Config) { c.AcceptPublishTokens, c.Data = []string{token}, data })
	r := newRink(t, func(c *config.Config) { c.PublishTo, c.PublishToken = far.URL, token })
	r.hallField(3)
	segment := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short
	r.call("referee", http.MethodPost, segment+":start", map[string]any{}, nil)
	r.skates("1", 6)
	r.call("technical", http.MethodPost, segment+":callSkater", map[string]any{}, nil)

	organiser := r.desk("organiser", "organiser", browser.View{Name: "laptop", Width: 1366, Height: 768})
	use(organiser, "Event and rules")
	organiser.Wait(`document.getElementById("step-event").innerText.includes("` + far.URL + `/events/` + cup + ` shows the event to the world, as it was ")`)
	organiser.Picture("copy-organiser")
	for _, barrier := range organiser.EveryBarrier() {
		t.Errorf("organiser: %s", barrier)
	}

	p := r.chrome.Open(t, far.URL+"/events/"+cup, browser.Phone)
	hall := r.chrome.Open(t, far.URL+"/events/"+cup+"?hall", browser.View{Name: "hall", Width: 1280, Height: 720})
	shows(p, ".copy", "Copied from the rink, 0 s old.")
	shows(p, ".state", "On the ice, 2 of 3")
	r.call("technical", http.MethodPost, segment+"/performances/2/elements", map[string]any{"code": "LSp2"}, nil)
	shows(p, ".elements li:last-child", "Layback spin, level 2")
	looksWell(t, p, "copy")
	clickIn(p, "tbody tr button")
	shows(p, ".sheet .lines", "Double Axel")
	p.Wait(`document.querySelectorAll("#papers .paper a").length > 0`)
	links := browser.Evaluate[[]string](p, `[...document.querySelectorAll("#papers .paper a")].map((a) => a.href)`)
	for _, link := range links {
		if res, err := http.Get(link); err != nil || res.StatusCode != http.StatusOK {
			t.Errorf("the paper %s: %v, %v", link, res.Status, err)
		} else {
			_ = res.Body.Close()
		}
	}
	clickIn(p, ".back")
	clean(t, "the copy", p, false)

	// The rink goes, and the other server has not heard of it for two hours.
	r.server.Stop()
	far.Stop()
	was := browser.Today().Add(-2 * time.Hour)
	if err := os.Chtimes(filepath.Join(data, "copies", cup, "copy.json"), was, was); err != nil {
		t.Fatal(err)
	}
	far.Start()
	shows(p, ".copy", "The rink has been silent since ")
	looksWell(t, p, "copy-silent")
	hall.Wait(`document.querySelector("#hall .pill").textContent.startsWith("The rink has been silent since ")`)
	hall.Picture("copy-hall-silent")
}
