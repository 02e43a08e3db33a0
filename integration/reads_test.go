package integration_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"net/http"
	"reflect"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/offline"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// reading is a GET of the contract and the same call by the client library.
type reading struct {
	path string
	call func(context.Context, client.Authority) (proto.Message, error)
}

func read[Req, Res proto.Message](path string, method func(client.Authority, context.Context, Req) (Res, error), req Req) reading {
	return reading{path, func(ctx context.Context, a client.Authority) (proto.Message, error) { return method(a, ctx, req) }}
}

// reads are GETs of all parts of the tables. The tables are large, so they also show
// that nothing of them is cut on the way.
func reads(t testing.TB) []reading {
	t.Helper()
	list := []reading{
		read("/v1/seasons", client.Authority.ListSeasons, &pb.ListSeasonsRequest{}),
		read("/v1/seasons:compare?from=2016-17&to=2025-26&discipline=singles", client.Authority.CompareSeasons,
			&pb.CompareSeasonsRequest{From: "2016-17", To: "2025-26", Discipline: "singles"}),
		read("/v1/seasons:compare?from=2005-06&to=current", client.Authority.CompareSeasons,
			&pb.CompareSeasonsRequest{From: "2005-06", To: "current"}),
		read("/v1/seasons/2025-26/elements/3Lz?category=senior-women", client.Authority.GetElement,
			&pb.GetElementRequest{Season: "2025-26", Code: "3Lz", Category: "senior-women"}),
		read("/v1/seasons/current/elements/3F%21%3C", client.Authority.GetElement,
			&pb.GetElementRequest{Season: "current", Code: "3F!<"}),
		read("/v1/seasons/2016-17/elements?discipline=pairs&pageSize=7", client.Authority.ListElements,
			&pb.ListElementsRequest{Season: "2016-17", Discipline: "pairs", PageSize: 7}),
		read("/v1/seasons/2009-10/elements?discipline=dance&kind=spin&pageSize=1000", client.Authority.ListElements,
			&pb.ListElementsRequest{Season: "2009-10", Discipline: "dance", Kind: "spin", PageSize: 1000}),
	}
	local, err := offline.New(offline.WithClock(today))
	if err != nil {
		t.Fatal(err)
	}
	seasons, err := local.ListSeasons(t.Context(), &pb.ListSeasonsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range seasons.GetSeasons() {
		list = append(list,
			read("/v1/seasons/"+s.GetSeason(), client.Authority.GetSeason, &pb.GetSeasonRequest{Season: s.GetSeason()}),
			read("/v1/seasons/"+s.GetSeason()+"/elements?pageSize=1000", client.Authority.ListElements,
				&pb.ListElementsRequest{Season: s.GetSeason(), PageSize: 1000}))
	}
	return list
}

// TestReadsAgree compares what the GETs answer with the client library, by a
// server and offline.
func TestReadsAgree(t *testing.T) {
	local, err := offline.New(offline.WithClock(today))
	if err != nil {
		t.Fatal(err)
	}
	server := start(t)
	remote := server.client(t)
	for _, r := range reads(t) {
		t.Run(r.path, func(t *testing.T) {
			code, body, err := server.do(t.Context(), http.MethodGet, r.path, "", nil)
			if err != nil || code != http.StatusOK {
				t.Fatalf("HTTP %d, %v: %.300s", code, err, body)
			}
			rest := tree(t, body)
			for way, a := range map[string]client.Authority{"client": remote, "offline": local} {
				res, err := r.call(t.Context(), a)
				if err != nil {
					t.Fatalf("%s: %v", way, err)
				}
				data, err := toJSON(res)
				if err != nil {
					t.Fatal(err)
				}
				if !reflect.DeepEqual(rest, tree(t, data)) {
					t.Errorf("%s answers otherwise than REST:\n%.500s\n%.500s", way, data, body)
				}
			}
		})
	}
}

// TestPagesHoldEveryElement reads a list in small pages and in one.
func TestPagesHoldEveryElement(t *testing.T) {
	remote := start(t).client(t)
	codes := func(size int32) (list []string) {
		for e, err := range client.AllElements(t.Context(), remote, &pb.ListElementsRequest{Season: "2025-26", PageSize: size}) {
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, e.GetDiscipline()+" "+e.GetCode()+" "+e.GetScope())
		}
		return list
	}
	small, large := codes(17), codes(1000)
	if len(large) == 0 || !reflect.DeepEqual(small, large) {
		t.Errorf("in pages of 17 there are %d elements, in pages of 1000 there are %d", len(small), len(large))
	}
	seen := map[string]bool{}
	for _, code := range small {
		if seen[code] {
			t.Errorf("%s is listed twice", code)
		}
		seen[code] = true
	}
}

// TestFileHoldsEveryElement compares the file of a season's elements, from each way in,
// with the list of them: a row for each, with the same points.
func TestFileHoldsEveryElement(t *testing.T) {
	local, err := offline.New(offline.WithClock(today))
	if err != nil {
		t.Fatal(err)
	}
	server := start(t)
	remote := server.client(t)
	for _, season := range []string{"2005-06", "2016-17", "2025-26"} {
		code, file, err := server.do(t.Context(), http.MethodGet, "/v1/seasons/"+season+"/elements:export", "", nil)
		if err != nil || code != http.StatusOK {
			t.Fatalf("HTTP %d, %v: %.300s", code, err, file)
		}
		for way, a := range map[string]client.Authority{"client": remote, "offline": local} {
			answer, err := a.ExportElements(t.Context(), &pb.ExportElementsRequest{Season: season})
			if err != nil || !bytes.Equal(answer.GetFile().GetData(), file) {
				t.Errorf("%s answers otherwise than REST: %v", way, err)
			}
		}
		rows, err := csv.NewReader(bytes.NewReader(file)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		header, rows := rows[0], rows[1:]
		i := 0
		for e, err := range client.AllElements(t.Context(), remote, &pb.ListElementsRequest{Season: season, PageSize: 1000}) {
			if err != nil {
				t.Fatal(err)
			}
			if i == len(rows) {
				t.Fatalf("%s: the file ends before %s", season, e.GetCode())
			}
			row := map[string]string{}
			for j, column := range header {
				row[column] = rows[i][j]
			}
			i++
			want := map[string]string{
				"season": season, "code": e.GetCode(), "name": e.GetName(), "kind": e.GetKind(), "discipline": e.GetDiscipline(), "scope": e.GetScope(),
				"base_value": e.GetBaseValue(), "source": e.GetSource(), "confidence": e.GetConfidence(),
			}
			var inferred []string
			for _, g := range e.GetGoePoints() {
				want[fmt.Sprint(g.GetMark())] = g.GetPoints()
				if g.GetConfidence() != "high" {
					inferred = append(inferred, fmt.Sprint(g.GetMark()))
				}
			}
			want["inferred_marks"] = strings.Join(inferred, " ")
			for column, value := range row {
				if value != want[column] {
					t.Errorf("%s, row %d, %s of %s: %q, want %q", season, i, column, e.GetCode(), value, want[column])
				}
			}
			for column := range want {
				if _, there := row[column]; !there {
					t.Fatalf("%s: there is no column %s", season, column)
				}
			}
		}
		if i != len(rows) || i == 0 {
			t.Errorf("%s: the list has %d elements, the file %d", season, i, len(rows))
		}
	}
}
