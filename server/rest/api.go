package rest

import (
	"cmp"
	"context"
	"mime"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"go.uber.org/zap"
	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/intercept"
	"github.com/rinktally/rinktally/server/kept"
	"github.com/rinktally/rinktally/server/rest/form"
	"github.com/rinktally/rinktally/server/tables"
)

// api serves the paths of the contract. It refuses what the gateway would pass
// over or explain badly (method, content type, size, query, body) and leaves the
// rest to the gateway, which calls the services through their interceptors.
type api struct {
	routes  func() form.Routes // of the contract, read with the first call
	gateway http.Handler
	tables  *tables.Tables
	version string
	log     *zap.Logger
	one     int // bytes of a body with one segment or program
	many    int // bytes of a body with many
	zipped  *kept.Answers[string, []byte]
}

// requestIDHeader is the header of a call's id.
const requestIDHeader = "X-Request-Id"

// largeCalls are the calls whose answers are compressed for who reads that: a season
// has thousands of rules and of values.
var largeCalls = []string{"GetSeason", "ListElements", "ExportElements", "CompareSeasons"}

func newAPI(o Options) (*api, error) {
	a := &api{
		tables: o.Tables, version: o.Version, log: o.Log, zipped: kept.New[string, []byte](maxZipped),
		one: o.MaxBody, many: o.MaxBatchBody,
	}
	mux := runtime.NewServeMux(
		runtime.WithMarshalerOption(runtime.MIMEWildcard, filesOr{newStrictJSON()}),
		runtime.WithForwardResponseOption(nameFile),
		runtime.WithErrorHandler(a.gatewayError),
		runtime.WithUnescapingMode(runtime.UnescapingModeAllCharacters),
		runtime.WithDisablePathLengthFallback(),
		runtime.WithMetadata(requestID),
		runtime.WithWriteContentLength(), // what is not split into chunks is read faster
		runtime.WithIncomingHeaderMatcher(passedOn),
		// The id is in the headers already; nothing else is for the outside.
		runtime.WithOutgoingHeaderMatcher(func(string) (string, bool) { return "", false }),
	)
	// The gateway tries the paths of a method one after another, the last ones first. So
	// scoring, which is called most, comes last.
	for _, register := range []func(context.Context, *runtime.ServeMux, grpc.ClientConnInterface) error{
		func(ctx context.Context, mux *runtime.ServeMux, conn grpc.ClientConnInterface) error {
			return pb.RegisterRulesServiceHandlerClient(ctx, mux, pb.NewRulesServiceClient(conn))
		},
		func(ctx context.Context, mux *runtime.ServeMux, conn grpc.ClientConnInterface) error {
			return pb.RegisterProgramServiceHandlerClient(ctx, mux, pb.NewProgramServiceClient(conn))
		},
		func(ctx context.Context, mux *runtime.ServeMux, conn grpc.ClientConnInterface) error {
			return pb.RegisterResultServiceHandlerClient(ctx, mux, pb.NewResultServiceClient(conn))
		},
		func(ctx context.Context, mux *runtime.ServeMux, conn grpc.ClientConnInterface) error {
			return pb.RegisterPracticeServiceHandlerClient(ctx, mux, pb.NewPracticeServiceClient(conn))
		},
		func(ctx context.Context, mux *runtime.ServeMux, conn grpc.ClientConnInterface) error {
			return pb.RegisterEventServiceHandlerClient(ctx, mux, pb.NewEventServiceClient(conn))
		},
		func(ctx context.Context, mux *runtime.ServeMux, conn grpc.ClientConnInterface) error {
			return pb.RegisterScoreboardServiceHandlerClient(ctx, mux, pb.NewScoreboardServiceClient(conn))
		},
		func(ctx context.Context, mux *runtime.ServeMux, conn grpc.ClientConnInterface) error {
			return pb.RegisterCopyServiceHandlerClient(ctx, mux, pb.NewCopyServiceClient(conn))
		},
		func(ctx context.Context, mux *runtime.ServeMux, conn grpc.ClientConnInterface) error {
			return pb.RegisterScoringServiceHandlerClient(ctx, mux, pb.NewScoringServiceClient(conn))
		},
	} {
		if err := register(context.Background(), mux, o.Conn); err != nil {
			return nil, err
		}
	}
	a.gateway = mux
	a.routes = sync.OnceValue(func() form.Routes {
		routes, err := form.RoutesOf(contract...)
		if err != nil {
			panic(err) // the same in each test
		}
		return routes
	})
	return a, nil
}

// requestID hands the id that the answer's header has to the interceptors.
func requestID(_ context.Context, r *http.Request) metadata.MD {
	return metadata.MD{intercept.RequestIDKey: {r.Header.Get(requestIDHeader)}}
}

// passedOn names the headers that the interceptors and services may see beside
// Authorization, which the gateway hands on by itself.
func passedOn(key string) (string, bool) { return runtime.MetadataPrefix + key, key == "User-Agent" }

// refuse answers a call that does not reach its service, and logs it as the
// interceptors would have.
func (a *api) refuse(w http.ResponseWriter, r *http.Request, err error) {
	a.log.Info("refused",
		zap.String("method", r.Method), zap.String("path", form.Show(r.URL.Path)), zap.String("code", errs.Code(err).String()),
		zap.String("reason", errs.Reason(err)), zap.String("error", errs.Text(err)),
		zap.String("request_id", r.Header.Get(requestIDHeader)), zap.String("peer", r.RemoteAddr), zap.String("user_agent", form.Show(r.UserAgent())))
	writeError(w, err)
}

// gatewayError answers what went wrong behind the gateway. The gateway keeps
// only the text of a decoding fault; the body kept the fault itself.
func (a *api) gatewayError(_ context.Context, _ *runtime.ServeMux, _ runtime.Marshaler, w http.ResponseWriter, r *http.Request, err error) {
	if b, ok := r.Body.(*body); ok && b.fault != nil {
		a.refuse(w, r, b.fault)
		return
	}
	if errs.Reason(err) == "" {
		a.refuse(w, r, errs.From(err, nil))
		return
	}
	writeError(w, err) // logged by the interceptors
}

// ServeHTTP answers one call.
func (a *api) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	method := r.Method
	if method == http.MethodHead {
		method = http.MethodGet // the connection leaves the body out
	}
	route, variables, allowed := a.routes().Match(method, r.URL.EscapedPath())
	switch {
	case route == nil && allowed == nil:
		a.refuse(w, r, form.NotFound(r.URL.Path))
		return
	case route == nil:
		w.Header().Set("Allow", strings.Join(allowed, ", "))
		a.refuse(w, r, form.NotAllowed(form.Show(r.Method), allowed))
		return
	}
	if route.Call == listedElements {
		w.Header().Add("Vary", "Accept")
		if wantsCSV(r.Header) {
			a.ServeHTTP(w, exported(r))
			return
		}
	}
	if err := cmp.Or(route.CheckPath(variables), route.CheckQuery(r.URL.RawQuery)); err != nil {
		a.refuse(w, r, err)
		return
	}
	r = r.WithContext(peer.NewContext(r.Context(), &peer.Peer{Addr: caller(r.RemoteAddr)}))
	r.Method = method
	switch {
	case route.Body:
		if err := checkContent(r.Header); err != nil {
			a.refuse(w, r, err)
			return
		}
		b, err := readBody(w, r, route.Limits(a.one, a.many), variables)
		if err != nil {
			a.refuse(w, r, err)
			return
		}
		r.Body = b
	case live(route):
		answer := &liveAnswer{ResponseWriter: w, request: r, route: route}
		a.gateway.ServeHTTP(answer, r)
		answer.finish()
		return
	case method == http.MethodGet:
		etag, keep := tag(a.version, a.tables, r, variables)
		w.Header().Set("ETag", etag)
		w.Header().Set("Cache-Control", keep)
		large := slices.Contains(largeCalls, route.Call)
		if large {
			w.Header().Add("Vary", "Accept-Encoding")
		}
		if known(r, etag) {
			w.WriteHeader(http.StatusNotModified)
			return
		}
		if large && readsGzip(r) {
			answer := &zippedAnswer{ResponseWriter: w, etag: etag, kept: a.zipped}
			a.gateway.ServeHTTP(answer, r)
			answer.finish()
			return
		}
	}
	a.gateway.ServeHTTP(w, r)
}

// checkContent takes JSON by any of its names, no name at all, and the name that
// command-line programs give to a body when nobody says what it is; and it
// takes no compressed body.
func checkContent(h http.Header) error {
	if encoding := h.Get("Content-Encoding"); encoding != "" && encoding != "identity" {
		return errs.New(pb.ErrorReason_CONTENT_TYPE_UNSUPPORTED,
			"the body's encoding is "+form.Show(encoding)+"; want it as it is, without Content-Encoding", "found", form.Show(encoding), "allowed", "identity")
	}
	header := h.Get("Content-Type")
	if header == "" {
		return nil
	}
	name, parameters, err := mime.ParseMediaType(header)
	charset := strings.ToLower(parameters["charset"])
	switch {
	case err == nil && charset != "" && charset != "utf-8":
	case name == "application/json", name == "text/json", name == "application/x-www-form-urlencoded",
		strings.HasPrefix(name, "application/") && strings.HasSuffix(name, "+json"):
		return nil
	}
	return errs.New(pb.ErrorReason_CONTENT_TYPE_UNSUPPORTED,
		"the body's type is "+form.Show(header)+"; want application/json in UTF-8", "found", form.Show(header), "allowed", "application/json")
}

// caller is the address of who asks, as the log and the rate limit see it.
type caller string

var _ net.Addr = caller("")

func (caller) Network() string  { return "tcp" }
func (c caller) String() string { return string(c) }
