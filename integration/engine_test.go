package integration_test

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/client/offline/engine"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/cases"
	"github.com/rinktally/rinktally/server/tables"
)

// asker answers a call in the REST form: status of HTTP and JSON.
type asker func(ctx context.Context, verb, target string, body []byte) (int, []byte, error)

// embedded are the tables of the program.
func embedded() *table.Catalog {
	return table.Read(table.Layer{Name: "embedded", FS: seasons.FS})
}

// inProcess asks the engine itself, over season tables.
func inProcess(t testing.TB, catalog *table.Catalog) asker {
	t.Helper()
	loaded, err := tables.Over(catalog, today)
	if err != nil {
		t.Fatal(err)
	}
	e, err := engine.New(loaded)
	if err != nil {
		t.Fatal(err)
	}
	return func(ctx context.Context, verb, target string, body []byte) (int, []byte, error) {
		status, answer := e.Answer(ctx, verb, target, body)
		return status, answer, nil
	}
}

// exchange is a request of the REST form.
type exchange struct{ verb, target, body string }

// exchanges are requests that an engine can answer: every golden case, every read of
// the tables and every wrong request that is not about HTTP itself.
func exchanges(t *testing.T) []exchange {
	t.Helper()
	golden, err := cases.Load("rules/seasons", seasons.FS)
	if err != nil {
		t.Fatal(err)
	}
	var list []exchange
	for i := range golden {
		for _, season := range golden[i].Seasons {
			_, _ = golden[i].Run(t.Context(), season, func(_ context.Context, call, season string, request []byte) ([]byte, error) {
				list = append(list, exchange{http.MethodPost, "/v1/seasons/" + season + "/" + call, string(request)})
				return nil, nil
			})
		}
	}
	for _, r := range reads(t) {
		list = append(list, exchange{http.MethodGet, r.path, ""})
	}
	for _, w := range slices.Concat(wrongFields(t), wrongBodies(), wrongCalls()) {
		ofHTTP := []string{"CONTENT_TYPE_UNSUPPORTED", "METHOD_NOT_ALLOWED", "NOT_FOUND", "EVENT_UNKNOWN", "UNAUTHENTICATED"}
		if !slices.Contains(ofHTTP, w.reason) {
			list = append(list, exchange{w.verb, w.path, w.body})
		}
	}
	return list
}

// TestEngineAnswersAsTheServer sends the same requests to a server over HTTP and to
// the engine that pages and programs have in themselves, over the tables as they are
// and frozen. Answers and errors are equal to the byte, and so is the status.
func TestEngineAnswersAsTheServer(t *testing.T) {
	server := start(t)
	whole := embedded()
	thawed, err := table.Thaw(table.FreezeHeadings(whole.Headings()), func(key string) ([]byte, error) {
		s, err := whole.Season(key)
		return table.Freeze(s), err
	})
	if err != nil {
		t.Fatal(err)
	}
	ways := map[string]asker{"in process": inProcess(t, whole), "over frozen tables": inProcess(t, thawed)}
	statuses := map[int]int{}
	for _, e := range exchanges(t) {
		want, body, err := server.do(t.Context(), e.verb, e.target, "application/json", []byte(e.body))
		if err != nil {
			t.Fatal(err)
		}
		statuses[want]++
		for way, ask := range ways {
			got, answer, err := ask(t.Context(), e.verb, e.target, []byte(e.body))
			if err != nil {
				t.Fatal(err)
			}
			if got != want || string(answer) != strings.TrimSuffix(string(body), "\n") {
				t.Errorf("%s %s %.200s: the engine %s answers %d %.500s\nthe server %d %.500s", e.verb, e.target, e.body, way, got, answer, want, body)
			}
		}
	}
	t.Logf("answers by status: %v", statuses)
	if statuses[http.StatusOK] == 0 || statuses[http.StatusBadRequest] == 0 || statuses[http.StatusNotFound] == 0 {
		t.Errorf("only these statuses were answered: %v", statuses)
	}
}
