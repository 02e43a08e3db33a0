package described

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// What differs from the document is found: a field that is missing or null, one that
// no request has, two members of which one may be there, a status or a media type
// that is not described, and an event of a stream.
func TestDifferencesAreFound(t *testing.T) {
	const (
		value    = "/v1/seasons/2025-26/elements:value"
		batch    = "/v1/seasons/2025-26/segments:batchScore"
		watch    = "/v1/events/cup/scoreboard:watch"
		asJSON   = "application/json"
		asStream = "text/event-stream"
		asked    = `{"category":"senior-men","segment":"free-skating","elements":[{"code":"3T"}]}`
		element  = `{"code":"3T","baseValue":"4.20","parts":[],"factors":[]}`
		answered = `{"elements":[` + element + `],"totalBaseValue":"4.20","rules":null,"warnings":[]}`
		refused  = `{"code":3,"message":"no","details":[{"@type":"type.googleapis.com/google.rpc.ErrorInfo","reason":"CODE_INVALID","domain":"rinktally"}]}`
	)
	for what, c := range map[string]struct {
		method, path, request string
		status                int
		kind, answer          string
		wrong                 string // what is said of it; "" = nothing
	}{
		"an answer":                        {http.MethodPost, value, asked, http.StatusOK, asJSON, answered, ""},
		"a refusal":                        {http.MethodPost, value, asked, http.StatusBadRequest, asJSON, refused, ""},
		"a path that is not there":         {http.MethodGet, "/v1/nothing", "", http.StatusNotFound, asJSON, refused, ""},
		"a missing field":                  {http.MethodPost, value, asked, http.StatusOK, asJSON, strings.Replace(answered, `"totalBaseValue":"4.20",`, "", 1), "totalBaseValue"},
		"a missing field below":            {http.MethodPost, value, asked, http.StatusOK, asJSON, strings.Replace(answered, `"parts":[],`, "", 1), "parts"},
		"a null list":                      {http.MethodPost, value, asked, http.StatusOK, asJSON, strings.Replace(answered, `"factors":[]`, `"factors":null`, 1), "factors"},
		"a request that is not described":  {http.MethodPost, value, strings.Replace(asked, "code", "cod", 1), http.StatusOK, asJSON, answered, "the request"},
		"a request without what it needs":  {http.MethodPost, value, strings.Replace(asked, `"category":"senior-men",`, "", 1), http.StatusOK, asJSON, answered, "category"},
		"an unknown reason":                {http.MethodPost, value, asked, http.StatusBadRequest, asJSON, strings.Replace(refused, "CODE_INVALID", "CODE_BAD", 1), "CODE_BAD"},
		"neither score nor error":          {http.MethodPost, batch, `{"segments":[]}`, http.StatusOK, asJSON, `{"results":[{}]}`, "oneOf"},
		"a reason of other calls":          {http.MethodPost, value, asked, http.StatusNotFound, asJSON, strings.Replace(refused, "CODE_INVALID", "EVENT_UNKNOWN", 1), "EVENT_UNKNOWN"},
		"a media type that is not there":   {http.MethodPost, value, asked, http.StatusOK, "text/html", answered, "text/html"},
		"a status that is not there":       {http.MethodPost, value, asked, http.StatusAccepted, asJSON, answered, "202"},
		"an event":                         {http.MethodGet, watch, "", http.StatusOK, asStream, "event: heartbeat\ndata: {\"sequence\":\"7\",\"copy\":null}\n\n", ""},
		"an event that is not there":       {http.MethodGet, watch, "", http.StatusOK, asStream, "event: pulse\ndata: {}\n\n", "pulse"},
		"an event whose data is not right": {http.MethodGet, watch, "", http.StatusOK, asStream, "event: heartbeat\ndata: {\"sequence\":7,\"copy\":null}\n\n", "sequence"},
	} {
		t.Run(what, func(t *testing.T) {
			res := httptest.NewRecorder()
			res.Header().Set("Content-Type", c.kind)
			res.WriteHeader(c.status)
			_, _ = io.WriteString(res, c.answer)
			answer := res.Result()
			err := check(httptest.NewRequestWithContext(t.Context(), c.method, c.path, http.NoBody), []byte(c.request), answer)
			if err == nil {
				_, err = io.ReadAll(answer.Body)
			}
			switch {
			case c.wrong == "" && err != nil:
				t.Error(err)
			case c.wrong != "" && (err == nil || !strings.Contains(fmt.Sprintf("%#v", err)+err.Error(), c.wrong)):
				t.Errorf("said is %v; want a word of %s", err, c.wrong)
			}
		})
	}
}
