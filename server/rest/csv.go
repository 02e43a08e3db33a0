package rest

import (
	"mime"
	"net/http"
	"strconv"
	"strings"
)

// listedElements is the call that has a form as CSV, which is a call of its own.
const listedElements = "ListElements"

// exported is the request for the elements of a season as that for the file of them.
func exported(r *http.Request) *http.Request {
	to := r.Clone(r.Context())
	const verb = ":export"
	to.URL.Path += verb
	if to.URL.RawPath != "" {
		to.URL.RawPath += verb
	}
	return to
}

// wantsCSV reports whether the headers ask for CSV rather than JSON.
func wantsCSV(h http.Header) bool {
	wanted := map[string]float64{}
	for _, kind := range strings.Split(strings.Join(h.Values("Accept"), ","), ",") {
		name, parameters, err := mime.ParseMediaType(kind)
		if err != nil {
			continue
		}
		quality, err := strconv.ParseFloat(parameters["q"], 64)
		if err != nil {
			quality = 1
		}
		wanted[name] = max(wanted[name], quality)
	}
	return wanted["text/csv"] > wanted["application/json"]
}
