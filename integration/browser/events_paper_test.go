package browser_test

import (
	"net/http"
	"testing"

	"github.com/rinktally/rinktally/integration/browser"
)

// A sheet that was written by hand is typed in by one person, with its faults put right,
// and confirmed by the referee.
func TestSheetFromPaper(t *testing.T) {
	r := newRink(t)
	r.hallField(2)
	segment := "/v1/events/" + cup + "/categories/" + women + "/segments/" + short
	r.call("referee", http.MethodPost, segment+":start", map[string]any{}, nil)
	p := r.desk("organiser", "paper", browser.View{Name: "laptop", Width: 1366, Height: 768})
	var order struct {
		Event struct {
			Categories []struct {
				Segments []struct {
					Order []struct{ Entry, Name string }
				}
			}
		}
	}
	r.call("admin", http.MethodGet, "/v1/events/"+cup, nil, &order)
	first := order.Event.Categories[0].Segments[0].Order[0]
	says(p, "Open the sheet of "+first.Name+".")
	use(p, "Call 1 "+first.Name)
	says(p, "Type in the sheet of "+first.Name+".")
	fill(p, "Elements as called, one a line", "3Lz+2T\n3Fq\nCCoSp3\n2A x")
	for _, mark := range []struct{ judge, elements, components string }{
		{"1", "2 1 0 −1", "5.25 5 4.75"}, {"2", "1 1 0", "5 5 5"}, {"3", "3 0 1 0", "5,5 5,25 5"},
	} {
		fill(p, "Judge "+mark.judge+": elements", mark.elements)
		fill(p, "Judge "+mark.judge+": components", mark.components)
	}
	use(p, "Enter the sheet")
	p.Wait(`document.getElementById("judge-2-fault").textContent === "Judge 2 has 3 marks for 4 elements."`)
	p.Picture("paper-fault")
	fill(p, "Judge 2: elements", "1 1 0 7")
	use(p, "Enter the sheet")
	p.Wait(`document.getElementById("judge-2-fault").textContent.includes("7")`)
	fill(p, "Judge 2: elements", "1 1 0 0")
	fill(p, "Elements as called, one a line", "3Lz+2T\n3Fz\nCCoSp3\n2A x")
	use(p, "Enter the sheet")
	p.Wait(`document.getElementById("codes-fault").textContent.startsWith("Line 2: ")`)
	_ = p.Problems() // the refusals
	fill(p, "Elements as called, one a line", "3Lz+2T\n3F\nCCoSp3\n2A x")
	use(p, "Enter the sheet")
	says(p, "The referee confirms "+first.Name+".")
	p.Picture("paper")
	for _, barrier := range p.EveryBarrier() {
		t.Error(barrier)
	}
	var sheet struct {
		Performance struct {
			SegmentScore string
			Elements     []struct {
				Code       string
				SecondHalf bool
				Marks      []struct{ Judge, Mark int }
			}
		}
	}
	r.call("referee", http.MethodPost, segment+"/performances/"+first.Entry+":confirm", map[string]any{}, &sheet)
	elements := sheet.Performance.Elements
	if len(elements) != 4 || elements[1].Code != "3F" || !elements[3].SecondHalf || elements[3].Marks[0].Mark != -1 || sheet.Performance.SegmentScore == "" {
		t.Errorf("the sheet is %+v", sheet)
	}
	says(p, "Open the sheet of "+order.Event.Categories[0].Segments[0].Order[1].Name+".")
	clean(t, "paper", p, false)
}
