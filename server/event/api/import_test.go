package api_test

import (
	"fmt"
	"strings"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

func (r *rink) bringIn(t testing.TB, csv string) (*pb.ImportEntriesResponse, error) {
	t.Helper()
	return r.ImportEntries(organiser(t), &pb.ImportEntriesRequest{Event: cup, Csv: csv})
}

// A line without an id gets a number that neither the event nor another line has,
// wherever in the file that stands.
func TestImportGivesFreeNumbers(t *testing.T) {
	r := newCup(t) // entries 1 to 3
	must(r.bringIn(t, "entry,category,name\n,senior-women,Dora Invented\n4,senior-women,Eve Invented\n,senior-women,Fay Invented\n6,senior-women,Gwen Invented\n"))
	got := map[string]string{}
	for _, e := range r.entries(t) {
		got[e.GetName()] = e.GetEntry()
	}
	if got["Dora Invented"] != "5" || got["Eve Invented"] != "4" || got["Fay Invented"] != "7" || got["Gwen Invented"] != "6" {
		t.Errorf("%v", got)
	}
}

// An import moves an entry to another category as a single change does: not once it
// stands in a starting order. Its name it may still correct.
func TestImportMovesLikeASingleChange(t *testing.T) {
	r := newCup(t)
	must(r.SetCategory(organiser(t), &pb.SetCategoryRequest{Event: cup, Category: "junior-women"}))
	must(r.bringIn(t, "entry,category,name\n3,junior-women,Cleo Invented\n"))
	must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short}))
	_, err := r.bringIn(t, "entry,category,name\n1,junior-women,Ada Invented\n")
	refused(t, err, pb.ErrorReason_CSV_INVALID, "csv.line[2].category")
	if !strings.Contains(errs.Text(err), "starting order") {
		t.Errorf("%q does not say why", errs.Text(err))
	}
	must(r.bringIn(t, "entry,category,name\n1,senior-women,Ada Renamed\n"))
	entries := r.entries(t)
	if entries[0].GetName() != "Ada Renamed" || entries[0].GetCategory() != category || entries[2].GetCategory() != "junior-women" {
		t.Errorf("%v", entries)
	}
}

// An event keeps a thousand entries, however they come; one that is changed is none
// more.
func TestAnEventKeepsAThousandEntries(t *testing.T) {
	r := newCup(t)
	var csv strings.Builder
	csv.WriteString("entry,category,name\n1,senior-women,Ada Renamed\n")
	for n := 4; n < 1000; n++ {
		fmt.Fprintf(&csv, ",senior-women,Skater %d\n", n)
	}
	must(r.bringIn(t, csv.String())) // 3 and 996
	_, err := r.bringIn(t, "category,name\nsenior-women,Dora Invented\nsenior-women,Eve Invented\n")
	refused(t, err, pb.ErrorReason_TOO_MANY_ITEMS, "csv")
	must(r.bringIn(t, "entry,category,name\n,senior-women,Dora Invented\n1,senior-women,Ada Invented\n"))
	if n := len(r.entries(t)); n != 1000 {
		t.Fatalf("%d entries, want 1000", n)
	}
	_, err = r.bringIn(t, "category,name\nsenior-women,Eve Invented\n")
	refused(t, err, pb.ErrorReason_TOO_MANY_ITEMS, "csv")
	_, err = r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: "Eve Invented"})
	refused(t, err, pb.ErrorReason_TOO_MANY_ITEMS, "entry")
	orders := &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short, Method: pb.OrderMethod_GIVEN}
	for range 1001 {
		orders.Entries = append(orders.Entries, "1")
	}
	_, err = r.DrawStartingOrder(organiser(t), orders)
	refused(t, err, pb.ErrorReason_TOO_MANY_ITEMS, "entries")
}

// What a spreadsheet takes for a formula is refused at the beginning of each cell
// that it may find, whichever sign parts cells where it runs.
func TestNoFormulas(t *testing.T) {
	r := newCup(t)
	for _, name := range []string{"=1+1", "＝1+1", "＋1", "－1", "＠SUM", "Ann;=1+1", "Ann; @SUM", "Ann;；＝1", `"=1+1`, `Ann;"=1+1;twin`} {
		_, err := r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: name})
		refused(t, err, pb.ErrorReason_FIELD_INVALID, "name")
		_, err = r.ImportEntries(organiser(t), &pb.ImportEntriesRequest{Event: cup, Csv: "category,name,club\n" + category + ",Ann,\"" + strings.ReplaceAll(name, `"`, `""`) + "\"\n"})
		refused(t, err, pb.ErrorReason_FIELD_INVALID, "csv.line[2].club")
	}
	must(r.AddEntry(organiser(t), &pb.AddEntryRequest{Event: cup, Category: category, Name: `Ann-Marie "A=1" O'Pond; twin`, Club: "Lake+Tarn = One"}))
}

// A category is named by its id or, where that is of one only, by its title.
func TestImportTakesTitles(t *testing.T) {
	r := newCup(t)
	for _, id := range []string{"group-a", "group-b"} {
		must(r.SetCategory(organiser(t), &pb.SetCategoryRequest{Event: cup, Category: id, Title: "Twins", RulesCategory: "junior-women"}))
	}
	must(r.bringIn(t, "category,name\nSenior women,Dora Invented\nSENIOR WOMEN,Eve Invented\nsenior-women,Fay Invented\n"))
	for _, e := range r.entries(t) {
		if e.GetCategory() != category {
			t.Errorf("%v", e)
		}
	}
	_, err := r.bringIn(t, "category,name\nTwins,Gia Invented\n")
	refused(t, err, pb.ErrorReason_CSV_INVALID, "csv.line[2].category")
}

// A file that comes again adds who is new when it is asked to, but nobody twice.
func TestImportOfWhoIsNew(t *testing.T) {
	r := newCup(t)
	file := "category,name,club\nsenior-women,Dora Invented,Pond\nsenior-women,Eve Invented,Lake\n"
	must(r.bringIn(t, file))
	_, err := r.bringIn(t, file+"senior-women,Fay Invented,Pond\n")
	refused(t, err, pb.ErrorReason_CSV_INVALID, "csv.line[2].entry")
	onlyNew := func(csv string) (*pb.ImportEntriesResponse, error) {
		return r.ImportEntries(organiser(t), &pb.ImportEntriesRequest{Event: cup, Csv: csv, OnlyNew: true})
	}
	if res := must(onlyNew(file + "Senior Women,Fay Invented,Pond\n")); res.GetAdded() != 1 || res.GetChanged() != 0 {
		t.Errorf("%v, want one added", res)
	}
	if res := must(onlyNew(file)); res.GetAdded() != 0 || res.GetChanged() != 0 {
		t.Errorf("%v, want nothing", res)
	}
	_, err = onlyNew("category,name\nsenior-women,Gia Invented\nsenior-women,Gia Invented\n")
	refused(t, err, pb.ErrorReason_CSV_INVALID, "csv.line[3].entry")
	if n := len(r.entries(t)); n != 6 {
		t.Errorf("%d entries, want 6", n)
	}
}
