package integration_test

import (
	"fmt"
	"net/http"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// wrongCalls are wrong paths, methods, content types, queries and page tokens.
func wrongCalls() []wrong {
	var list []wrong
	add := func(verb, path, kind, reason, field, says string) {
		body := ""
		if verb == http.MethodPost {
			body = good[scoreCall]
		}
		list = append(list, wrong{
			name: fmt.Sprintf("%s %.80s %.40s", verb, path, kind), verb: verb, path: path, kind: kind, body: body,
			status: statusOf(reason), reason: reason, field: field, says: says,
		})
	}
	for _, path := range []string{
		"/v1", "/v1/", "/v1/season", "/v1/seasons/", "/v1/seasons/2025-26/", "/v1/seasons/2025-26/element", "/v1/seasons/2025-26/elements/3Lz/goe",
		"/v1/seasons/2025-26:compare", "/v1/seasons:diff", "/v2/seasons", "/api/v1/seasons", "/season", "/wp-login.php",
		"/v1/seasons//elements", "/v1/seasons/../seasons", "/v1/seasons/2025-26/./elements",
		"/v1/seasons/2025-26/segments:score/1", "/%FF%FE", "/v1/%FF", "/" + long,
	} {
		add(http.MethodGet, path, "", "NOT_FOUND", "", "/openapi.json")
	}
	add(http.MethodPost, "/v1/seasons/2025-26/segments:scores", "application/json", "NOT_FOUND", "", "/openapi.json")
	add(http.MethodPost, "/v1/seasons/2025-26/score", "application/json", "NOT_FOUND", "", "/openapi.json")
	add(http.MethodPost, "/v1/segments:score", "application/json", "NOT_FOUND", "", "/openapi.json")

	for _, verb := range []string{http.MethodGet, http.MethodPut, http.MethodDelete, http.MethodPatch, "SKATE"} {
		add(verb, goodPath(scoreCall), "", "METHOD_NOT_ALLOWED", "", "POST")
	}
	for _, path := range []string{"/v1/seasons", "/v1/seasons/2025-26", "/v1/seasons/2025-26/elements", "/v1/seasons/2025-26/elements/3Lz", "/v1/seasons:compare", "/livez", "/openapi.json"} {
		add(http.MethodPost, path, "application/json", "METHOD_NOT_ALLOWED", "", "GET")
	}
	for _, kind := range []string{
		"application/xml", "text/plain", "multipart/form-data; boundary=x", "application/grpc", "application/json; charset=latin1",
		"application/octet-stream", "nonsense", long,
	} {
		add(http.MethodPost, goodPath(scoreCall), kind, "CONTENT_TYPE_UNSUPPORTED", "", "application/json")
	}

	// Queries.
	for query, wants := range map[string][3]string{
		"/elements?pageSize=-1":                             {"FIELD_INVALID", "pageSize", "allowed are 1 to 1000"},
		"/elements?pageSize=ten":                            {"FIELD_INVALID", "pageSize", "want a whole number"},
		"/elements?pageSize=1.5":                            {"FIELD_INVALID", "pageSize", "want a whole number"},
		"/elements?pageSize=":                               {"FIELD_INVALID", "pageSize", "want a whole number"},
		"/elements?pageSize=1e1":                            {"FIELD_INVALID", "pageSize", "want a whole number"},
		"/elements?pageSize=99999999999":                    {"FIELD_INVALID", "pageSize", "want a whole number"},
		"/elements?pageSize=5&pageSize=6":                   {"FIELD_INVALID", "pageSize", "2 times"},
		"/elements?pagesize=5":                              {"FIELD_UNKNOWN", "pagesize", "did you mean pageSize?"},
		"/elements?discipline=curling":                      {"FIELD_INVALID", "discipline", "singles, pairs, dance"},
		"/elements?kind=cartwheel":                          {"FIELD_INVALID", "kind", "allowed are"},
		"/elements?pageToken=abc":                           {"PAGE_TOKEN_INVALID", "pageToken", "nextPageToken"},
		"/elements?pageToken=" + strings.Repeat("A", 3000):  {"PAGE_TOKEN_INVALID", "pageToken", "nextPageToken"},
		"/elements?pageToken=%FF%FE":                        {"PAGE_TOKEN_INVALID", "pageToken", "nextPageToken"},
		"/elements?" + long + "=1":                          {"FIELD_UNKNOWN", long[:40] + "…", "is no field here"},
		"/elements?%FF=1":                                   {"FIELD_UNKNOWN", "\uFFFD", "is no field here"},
		"/elements/%FF":                                     {"CODE_INVALID", "code", "begin with a letter"},
		"/elements?a;b":                                     {"FIELD_INVALID", "query", "name=value"},
		"/elements?x=%zz":                                   {"FIELD_INVALID", "query", "name=value"},
		"/elements?revision=sha256:12":                      {"REVISION_MISMATCH", "revision", "leave revision out"},
		"/elements/3Lz?category=senior-robots":              {"CATEGORY_UNKNOWN", "category", "it has:"},
		"/elements/9Q":                                      {"ELEMENT_NOT_FOUND", "code", "has no element"},
		"/elements/5A":                                      {"ELEMENT_NOT_FOUND", "code", "has no element"},
		"/elements/lutz":                                    {"CODE_INVALID", "code", "not an element code"},
		"/elements/3Lz+3T":                                  {"CODE_INVALID", "code", "elements:value"},
		"/elements/3Lz+REP":                                 {"CODE_INVALID", "code", "+REP"},
		"/elements/3Lz*":                                    {"CODE_INVALID", "code", "without *"},
		"/elements/" + long:                                 {"CODE_INVALID", "code", "at most 64"},
		"/elements/CCoSp4?category=senior-dance":            {"ELEMENT_NOT_FOUND", "code", "has no element"},
		"/elements/3Lz?goe=1":                               {"FIELD_UNKNOWN", "goe", "is no field here"},
		"?revision=1":                                       {"REVISION_MISMATCH", "revision", "leave revision out"},
		"/elements?discipline=singles&kind=twist&pageSize=": {"FIELD_INVALID", "pageSize", "want a whole number"},
	} {
		add(http.MethodGet, "/v1/seasons/2025-26"+query, "", wants[0], wants[1], wants[2])
	}
	add(http.MethodGet, "/v1/seasons/1999-00", "", "SEASON_UNKNOWN", "season", "loaded are")
	add(http.MethodGet, "/v1/seasons/1999-00/elements", "", "SEASON_UNKNOWN", "season", "loaded are")
	add(http.MethodGet, "/v1/seasons/%00/elements/3Lz", "", "SEASON_UNKNOWN", "season", "loaded are")
	add(http.MethodGet, "/v1/seasons/%FF", "", "SEASON_UNKNOWN", "season", "loaded are")
	add(http.MethodGet, "/v1/seasons?season=2025-26", "", "FIELD_UNKNOWN", "season", "is no field here")
	add(http.MethodGet, "/v1/seasons:compare", "", "FIELD_REQUIRED", "from", "is empty")
	add(http.MethodGet, "/v1/seasons:compare?from=2016-17", "", "FIELD_REQUIRED", "to", "is empty")
	add(http.MethodGet, "/v1/seasons:compare?from=2016-17&to=next", "", "SEASON_UNKNOWN", "to", "loaded are")
	add(http.MethodGet, "/v1/seasons:compare?from=last&to=next", "", "SEASON_UNKNOWN", "to", "loaded are")
	add(http.MethodGet, "/v1/seasons:compare?from=2016-17&to=2025-26&discipline=luge", "", "FIELD_INVALID", "discipline", "singles, pairs, dance")
	add(http.MethodPost, goodPath(scoreCall)+"?explain=true", "application/json", "FIELD_UNKNOWN", "explain", "no query")

	// The same over gRPC, where a query's fields are the message's.
	for path, req := range map[string]proto.Message{
		"/v1/seasons/2025-26/elements?pageSize=-1":                    &pb.ListElementsRequest{Season: goodSeason, PageSize: -1},
		"/v1/seasons/2025-26/elements?discipline=curling":             &pb.ListElementsRequest{Season: goodSeason, Discipline: "curling"},
		"/v1/seasons/2025-26/elements?kind=cartwheel":                 &pb.ListElementsRequest{Season: goodSeason, Kind: "cartwheel"},
		"/v1/seasons/2025-26/elements?pageToken=abc":                  &pb.ListElementsRequest{Season: goodSeason, PageToken: "abc"},
		"/v1/seasons/2025-26/elements/9Q":                             &pb.GetElementRequest{Season: goodSeason, Code: "9Q"},
		"/v1/seasons/2025-26/elements/lutz":                           &pb.GetElementRequest{Season: goodSeason, Code: "lutz"},
		"/v1/seasons/2025-26/elements/3Lz+3T":                         &pb.GetElementRequest{Season: goodSeason, Code: "3Lz+3T"},
		"/v1/seasons/2025-26/elements/3Lz?category=senior-robots":     &pb.GetElementRequest{Season: goodSeason, Code: "3Lz", Category: "senior-robots"},
		"/v1/seasons/1999-00":                                         &pb.GetSeasonRequest{Season: "1999-00"},
		"/v1/seasons:compare":                                         &pb.CompareSeasonsRequest{},
		"/v1/seasons:compare?from=last&to=next":                       &pb.CompareSeasonsRequest{From: "last", To: "next"},
		"/v1/seasons:compare?from=2016-17&to=2025-26&discipline=luge": &pb.CompareSeasonsRequest{From: "2016-17", To: "2025-26", Discipline: "luge"},
	} {
		for i := range list {
			if list[i].path == path && list[i].verb == http.MethodGet {
				list[i].rpc = req
			}
		}
	}
	return list
}
