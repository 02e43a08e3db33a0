// Package rest is the HTTP side: the contract's REST paths over the gateway in
// the same process, health, metrics, the OpenAPI document and the pages.
package rest

import (
	"context"
	"crypto/tls"
	"encoding/json"
	"errors"
	"io/fs"
	"net"
	"net/http"
	"net/netip"
	"path"
	"slices"
	"strings"
	"time"

	"go.uber.org/zap"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/reflect/protoreflect"

	clientweb "github.com/rinktally/rinktally/client/web"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/health"
	"github.com/rinktally/rinktally/server/intercept"
	"github.com/rinktally/rinktally/server/rest/form"
	"github.com/rinktally/rinktally/server/tables"
)

// contract are the files whose services have REST paths.
var contract = []protoreflect.FileDescriptor{
	pb.File_rinktally_v1_rules_proto, pb.File_rinktally_v1_scoring_proto, pb.File_rinktally_v1_program_proto,
	pb.File_rinktally_v1_result_proto, pb.File_rinktally_v1_practice_proto, pb.File_rinktally_v1_event_proto,
	pb.File_rinktally_v1_scoreboard_proto, pb.File_rinktally_v1_copy_proto,
}

// Options is what the HTTP side needs.
type Options struct {
	Conn         grpc.ClientConnInterface         // the services, in process
	WatchBoard   func(refuse Refuse) http.Handler // the stream of a scoreboard; nil = none
	WatchEvent   func(refuse Refuse) http.Handler // the stream of an event's desks; nil = none
	Tables       *tables.Tables
	Health       *health.Health
	Metrics      http.Handler // for callers on this machine; nil = they have a port of their own
	Log          *zap.Logger
	Version      string
	MaxBody      int      // bytes
	MaxBatchBody int      // bytes
	Kept         int      // changes of an event that streams keep
	CORSOrigins  []string // web sites that may read the answers
	Engine       fs.FS    // the engine as WebAssembly; nil = as it was built into the program
	Root         Root     // what phones install to trust this server
}

// Root is the certificate that has signed this server's own; empty = none.
type Root struct {
	Certificate []byte // DER
	Fingerprint string // its SHA-256, as phones show it
}

// Refuse answers a call that goes wrong before its service has it, and logs it.
type Refuse = func(http.ResponseWriter, *http.Request, error)

// New makes the handler of the HTTP port.
func New(o Options) (http.Handler, error) {
	api, err := newAPI(o)
	if err != nil {
		return nil, err
	}
	if o.Engine == nil {
		o.Engine = clientweb.Engine()
	}
	mux := http.NewServeMux()
	mux.Handle("/v1/", cors(o.CORSOrigins, api))
	if o.WatchBoard != nil {
		mux.Handle("GET /v1/events/{event}/scoreboard:watch", cors(o.CORSOrigins, o.WatchBoard(api.refuse)))
	}
	if o.WatchEvent != nil {
		mux.Handle("GET /v1/events/{event}", cors(o.CORSOrigins, watchOr(api, o.WatchEvent(api.refuse))))
	}
	mux.HandleFunc("GET /livez", func(w http.ResponseWriter, _ *http.Request) {
		writeJSON(w, http.StatusOK, map[string]any{"live": true})
	})
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, r *http.Request) {
		ready, checks := o.Health.Update(r.Context())
		status := http.StatusOK
		if !ready {
			status = http.StatusServiceUnavailable
		}
		writeJSON(w, status, map[string]any{"ready": ready, "checks": checks})
	})
	if o.Metrics != nil {
		mux.Handle("GET /metrics", onlyHere(o.Metrics))
	}
	withEngine, err := addEngine(mux, o.Engine, o.Tables)
	if err != nil {
		return nil, err
	}
	addRoot(mux, o.Root)
	pages := addPages(mux, facts{Version: o.Version, Engine: withEngine, Trust: o.Root.Fingerprint, Since: o.Tables.Catalog().Keys()[0][:len("2005")],
		limits: limits{Items: form.MaxItems, Deep: form.MaxDepth, Body: o.MaxBody, Batch: o.MaxBatchBody, Kept: o.Kept}}, o.Tables)
	addDocs(mux, pages, o.CORSOrigins)
	return guard(o.Log, mux, func(w http.ResponseWriter, r *http.Request) { pages().nothing(w, r) }), nil
}

// onlyHere serves callers on this machine, not those who come through a proxy on it.
func onlyHere(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		from, err := netip.ParseAddrPort(r.RemoteAddr)
		if err != nil || !from.Addr().Unmap().IsLoopback() || r.Header.Get("X-Forwarded-For") != "" || r.Header.Get("Forwarded") != "" {
			writeError(w, errs.New(pb.ErrorReason_PERMISSION_DENIED, "this is for callers on the server's own machine; the setting metrics-addr opens a port for others"))
			return
		}
		h.ServeHTTP(w, r)
	})
}

// watchOr serves the stream of an event where the path ends with ":watch", and the
// other calls of that shape.
func watchOr(other, watch http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if event, ok := strings.CutSuffix(r.PathValue("event"), ":watch"); ok {
			r.SetPathValue("event", event)
			watch.ServeHTTP(w, r)
			return
		}
		other.ServeHTTP(w, r)
	})
}

// guard gives every answer a request id and its time, turns a panic into an
// INTERNAL, and answers paths and methods that nothing serves in the same form as
// the rest; nothing answers where nothing is.
func guard(log *zap.Logger, mux *http.ServeMux, nothing http.HandlerFunc) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id := intercept.NewRequestID(r.Header.Get(requestIDHeader))
		r.Header.Set(requestIDHeader, id)
		w.Header().Set(requestIDHeader, id)
		w.Header().Set("X-Content-Type-Options", "nosniff")
		w.Header().Set("Referrer-Policy", "no-referrer") // a desk's address may hold its token
		setDeadlines(w, r)
		defer func() {
			if p := recover(); p != nil {
				if err, ok := p.(error); ok && errors.Is(err, http.ErrAbortHandler) {
					panic(p)
				}
				log.Error("panic in a page", zap.Any("panic", p), zap.String("request_id", id), zap.String("path", form.Show(r.URL.Path)), zap.Stack("stack"))
				writeError(w, errs.Internal(context.Cause(r.Context())))
			}
		}()
		// The mux would send the caller of a path with // or .. to another one.
		if path.Clean(r.URL.Path) != strings.TrimSuffix(r.URL.Path, "/") && r.URL.Path != "/" {
			nothing(w, r)
			return
		}
		if _, pattern := mux.Handler(r); pattern != "" {
			mux.ServeHTTP(w, r)
			return
		}
		if allowed := methodsOf(mux, r); len(allowed) > 0 {
			w.Header().Set("Allow", allowed[0])
			writeError(w, form.NotAllowed(form.Show(r.Method), allowed))
			return
		}
		nothing(w, r)
	})
}

// answerTime limits how long an answer may take to be made and read. A caller that
// reads nothing would otherwise keep it in memory for ever.
const answerTime = 2 * time.Minute

// setDeadlines limits reading the request body and writing the answer. A body is
// limited also where no handler reads it, since the answer waits for its end. Streams
// set their own deadlines.
func setDeadlines(w http.ResponseWriter, r *http.Request) {
	// Both fail only where there is no connection, such as in a test.
	control, now := http.NewResponseController(w), time.Now()
	_ = control.SetWriteDeadline(now.Add(answerTime))
	if r.ContentLength != 0 {
		_ = control.SetReadDeadline(now.Add(bodyTime))
	}
}

// methodsOf returns the methods that the mux has the path with.
func methodsOf(mux *http.ServeMux, r *http.Request) []string {
	return slices.DeleteFunc([]string{http.MethodGet}, func(method string) bool {
		other := r.Clone(r.Context())
		other.Method = method
		_, pattern := mux.Handler(other)
		return pattern == ""
	})
}

func writeJSON(w http.ResponseWriter, status int, body any) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(body)
}

// sendBuffer is how many bytes the system keeps of an answer that a connection does
// not read. By itself it would let that grow to megabytes for each watcher of a
// scoreboard that has gone to sleep.
const sendBuffer = 64 << 10

// Serve returns a server with the limits of HTTP itself. A connection that is slow to
// send its headers is closed; what follows them is limited by setDeadlines, since
// some answers are streams.
func Serve(handler http.Handler) *http.Server {
	const maxHeader = 32 << 10
	return &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: 5 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    maxHeader,
		ConnContext: func(ctx context.Context, conn net.Conn) context.Context {
			if secret, ok := conn.(*tls.Conn); ok {
				conn = secret.NetConn()
			}
			if tcp, ok := conn.(*net.TCPConn); ok {
				_ = tcp.SetWriteBuffer(sendBuffer) // without it the system's own bound holds
			}
			return ctx
		},
	}
}
