package rest_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"strings"
	"testing"
)

// Who asks for CSV rather than JSON gets it, at the address of the list too.
func TestElementsAsCSV(t *testing.T) {
	server := serve(t, nil)
	const list = "/v1/seasons/2025-26/elements?discipline=singles&kind=spin"
	_, file := ask(t, server, http.MethodGet, strings.Replace(list, "?", ":export?", 1), "")
	if !bytes.HasPrefix(file, []byte("season,code,name,")) || bytes.Count(file, []byte("\n")) < 100 {
		t.Fatalf("the file is %.300s", file)
	}
	tags := map[string]string{}
	for accept, csv := range map[string]bool{
		"text/csv": true, "Text/CSV; charset=utf-8": true, "text/csv, application/json;q=0.5": true, "text/csv, */*;q=0.1": true, "text/html;;, text/csv": true,
		"": false, "*/*": false, "application/json": false, "application/json, text/csv": false, "text/csv;q=0.5, application/json": false,
		"text/csv;q=0": false, "text/html": false,
	} {
		res, body := ask(t, server, http.MethodGet, list, "", "Accept", accept)
		kind := res.Header.Get("Content-Type")
		if res.StatusCode != http.StatusOK || strings.HasPrefix(kind, "text/csv") != csv || bytes.Equal(body, file) != csv {
			t.Errorf("Accept %q: %d, %s, %.100s", accept, res.StatusCode, kind, body)
		}
		if !strings.Contains(strings.Join(res.Header.Values("Vary"), ","), "Accept") {
			t.Errorf("Accept %q: the answer does not say that it depends on that: %v", accept, res.Header)
		}
		tags[kind] = res.Header.Get("ETag")
		if name := res.Header.Get("Content-Disposition"); csv && name != "attachment; filename=2025-26-singles-spin-elements.csv" {
			t.Errorf("Accept %q: the file is %q", accept, name)
		}
	}
	if len(tags) != 2 || tags["application/json"] == tags["text/csv; charset=utf-8"] {
		t.Errorf("the tags are %v", tags)
	}
	res, zipped := ask(t, server, http.MethodGet, list, "", "Accept", "text/csv", "Accept-Encoding", "gzip")
	in, err := gzip.NewReader(bytes.NewReader(zipped))
	if err != nil {
		t.Fatalf("%v: %v", err, res.Header)
	}
	if whole, err := io.ReadAll(in); err != nil || !bytes.Equal(whole, file) {
		t.Errorf("compressed it is %.100s, %v", whole, err)
	}
}

// What is wrong with a request for CSV is answered as every fault is. A file is whole,
// so it has no pages.
func TestFaultsOfElementsAsCSV(t *testing.T) {
	server := serve(t, nil)
	for query, want := range map[string]string{"discipline=single": "discipline", "pageSize=10": "pageSize", "reducedForms=yes": "reducedForms"} {
		res, body := ask(t, server, http.MethodGet, "/v1/seasons/2025-26/elements?"+query, "", "Accept", "text/csv")
		if fault := readFault(t, body); res.StatusCode != http.StatusBadRequest || fault.fields()[want] == "" {
			t.Errorf("%s: %d %s", query, res.StatusCode, body)
		}
	}
}
