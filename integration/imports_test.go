package integration_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "github.com/rinktally/rinktally"

// goPackage is a package of the module without its tests.
type goPackage struct {
	ImportPath, Dir string
	Imports, Deps   []string
	GoFiles         []string
}

// name is the path inside the module, such as rules/score.
func (p *goPackage) name() string { return inside(p.ImportPath) }

func inside(path string) string { return strings.TrimPrefix(strings.TrimPrefix(path, module), "/") }

func isOurs(path string) bool { return path == module || strings.HasPrefix(path, module+"/") }

// under reports whether a name is a package or lies below it.
func under(name, parent string) bool { return name == parent || strings.HasPrefix(name, parent+"/") }

// isStandard reports whether an import path is of the standard library: its first
// part is no domain.
func isStandard(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	return !strings.Contains(first, ".")
}

func packages(t *testing.T) []goPackage {
	t.Helper()
	list := exec.CommandContext(t.Context(), "go", "list", "-json=ImportPath,Dir,Imports,Deps,GoFiles", "./...")
	list.Dir = ".."
	var stderr bytes.Buffer
	list.Stderr = &stderr
	out, err := list.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, stderr.Bytes())
	}
	var all []goPackage
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p goPackage
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	return all
}

// files parses a package's files without its tests.
func (p *goPackage) files(t *testing.T, look func(name string, set *token.FileSet, f *ast.File)) {
	t.Helper()
	for _, name := range p.GoFiles {
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, filepath.Join(p.Dir, name), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		look(p.name()+"/"+name, set, f)
	}
}

// Ranks of the packages that hold the rules of the sport: each may import only
// those of lower rank. A new one has to be given its place here.
var ranks = map[string]int{
	"rules": 0, "rules/seasons": 0,
	"rules/element": 1,
	"rules/value":   2,
	"rules/score":   3, "rules/level": 3,
	"rules/table": 4, "rules/level/notation": 4,
	"rules/program": 5, "rules/standing": 5,
	"rules/plan": 6,
}

// What the rules may import beside each other: the parts of the standard library
// that only compute, and one reader of YAML. There is no file among them, no
// network, and no package math, whose numbers are floats; of math/big they use whole
// numbers and fractions (TestNoFloats). Of package time they use
// the calendar (TestNoClock).
var pure = []string{
	"bytes", "cmp", "crypto/sha256", "embed", "encoding", "encoding/binary", "encoding/csv", "encoding/hex", "errors", "fmt", "io", "io/fs", "iter", "maps",
	"math/big", "math/bits", "path", "reflect", "regexp", "slices", "sort", "strconv", "strings", "sync", "sync/atomic", "time", "unicode", "unicode/utf8",
	"github.com/goccy/go-yaml/ast", "github.com/goccy/go-yaml/parser", "github.com/goccy/go-yaml/token",
}

// TestNoClock looks at what the rules use of package time: to read a day of the
// calendar, never the time that it is now.
func TestNoClock(t *testing.T) {
	used := 0
	for _, p := range packages(t) {
		if !under(p.name(), "rules") {
			continue
		}
		p.files(t, func(name string, set *token.FileSet, f *ast.File) {
			ast.Inspect(f, func(n ast.Node) bool {
				s, ok := n.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				if of, ok := s.X.(*ast.Ident); ok && of.Name == "time" {
					used++
					if s.Sel.Name != "Parse" && s.Sel.Name != "DateOnly" {
						t.Errorf("%s:%d: time.%s; the rules know no clock", name, set.Position(n.Pos()).Line, s.Sel.Name)
					}
				}
				return true
			})
		})
	}
	if used == 0 {
		t.Error("no use of package time was found; the test looks at nothing")
	}
}

func TestRulesArePure(t *testing.T) {
	found := 0
	for _, p := range packages(t) {
		if !under(p.name(), "rules") {
			continue
		}
		found++
		rank, known := ranks[p.name()]
		if !known {
			t.Errorf("%s has no place in the order of the rules' packages", p.name())
			continue
		}
		for _, path := range p.Imports {
			switch {
			case isOurs(path):
				other, known := ranks[inside(path)]
				if !known || other >= rank {
					t.Errorf("%s imports %s, which does not stand below it", p.name(), inside(path))
				}
			case !slices.Contains(pure, path):
				t.Errorf("%s imports %s; the rules only calculate", p.name(), path)
			}
		}
	}
	if found < len(ranks) {
		t.Errorf("only %d packages of rules were found", found)
	}
}

// TestNoFloats looks for floating-point types, literals and conversions in the
// rules: points are hundredths, revolutions are halves, both whole numbers.
func TestNoFloats(t *testing.T) {
	forbidden := []string{"float32", "float64", "complex64", "complex128", "ParseFloat", "FormatFloat", "AppendFloat", "Float32", "Float64", "Float", "NewFloat"}
	files := 0
	for _, p := range packages(t) {
		if !under(p.name(), "rules") {
			continue
		}
		p.files(t, func(name string, set *token.FileSet, f *ast.File) {
			files++
			ast.Inspect(f, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.Ident:
					if slices.Contains(forbidden, n.Name) {
						t.Errorf("%s:%d: %s", name, set.Position(n.Pos()).Line, n.Name)
					}
				case *ast.BasicLit:
					if n.Kind == token.FLOAT || n.Kind == token.IMAG {
						t.Errorf("%s:%d: the literal %s", name, set.Position(n.Pos()).Line, n.Value)
					}
				}
				return true
			})
		})
	}
	if files == 0 {
		t.Error("no file was looked at")
	}
}

// clientMay names what the client library may import beside the standard
// library.
var clientMay = []string{
	module + "/proto/rinktally/v1", module + "/client/policy",
	"google.golang.org/grpc", "google.golang.org/protobuf", "google.golang.org/genproto/googleapis/rpc",
	"github.com/grpc-ecosystem/go-grpc-middleware/v2/interceptors/retry", // gRPC's interceptor for repeated calls
}

func TestClientIsLight(t *testing.T) {
	found := 0
	for _, p := range packages(t) {
		if p.name() != "client" && p.name() != "client/policy" {
			continue
		}
		found++
		for _, path := range p.Imports {
			if !isStandard(path) && !slices.ContainsFunc(clientMay, func(may string) bool { return under(path, may) }) {
				t.Errorf("%s imports %s", p.name(), path)
			}
		}
		for _, path := range p.Deps {
			if name := inside(path); isOurs(path) && (under(name, "server") || under(name, "rules") || under(name, "integration")) {
				t.Errorf("%s depends on %s", p.name(), name)
			}
		}
	}
	if found != 2 {
		t.Errorf("%d of the packages client and client/policy are there", found)
	}
}

// Who may import what inside the module, beyond the rules and the client library.
func TestDirections(t *testing.T) {
	storesKnownBy := map[string]string{ // who may know the concrete stores, and why
		"server/app":           "wires them",
		"server/cmd/rinktally": "exports, imports and saves a store without a server",
		"client/clienttest":    "keeps the events of a test in memory",
	}
	for _, p := range packages(t) {
		name := p.name()
		for _, path := range p.Imports {
			if !isOurs(path) {
				continue
			}
			other := inside(path)
			switch {
			case name == "server/rest" && other == "client/web": // holds the files that pages load, and no code
			case name == "server/cmd/rinktally" && other == "client": // whose commands ask a running server
			case under(name, "server") && under(other, "client"):
				t.Errorf("%s imports %s; the server does not know its clients", name, other)
			case under(name, "client") && name != "client" && under(other, "server/app"):
				t.Errorf("%s imports %s; only services are used in process", name, other)
			case under(other, "integration") && !under(name, "integration"):
				t.Errorf("%s imports %s, which is for tests", name, other)
			case under(name, "server") && under(other, "server/cmd"):
				t.Errorf("%s imports a program", name)
			case (under(other, "server/store/sqlite") || under(other, "server/store/postgres")) && !under(name, "server/store") && storesKnownBy[name] == "":
				t.Errorf("%s imports %s; it should know the interface only", name, other)
			}
		}
	}
}

// TestOnlyErrsMakesStatuses looks for calls that make a gRPC status. Reading one
// is free.
func TestOnlyErrsMakesStatuses(t *testing.T) {
	const status = "google.golang.org/grpc/status"
	reading := []string{"Code", "Convert", "FromError", "Status"}
	exceptions := map[string]string{ // package and call: why
		"client FromProto":        "gives the status that came as the one to pass on",
		"client FromContextError": "offline the end of a context is the caller's own",
		"client New":              "an error that was made without a status, as a fake in a test, still has one",
		"client/cmd/tally New":    "a line of a file that is no segment never reaches the authority",
	}
	used := map[string]bool{}
	seen := map[string]bool{}
	for _, p := range packages(t) {
		if !slices.Contains(p.Imports, status) || under(p.name(), "proto") {
			continue
		}
		seen[p.name()] = true
		p.files(t, func(name string, set *token.FileSet, f *ast.File) {
			local := importedAs(f, status)
			ast.Inspect(f, func(n ast.Node) bool {
				sel, ok := n.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				if x, ok := sel.X.(*ast.Ident); !ok || x.Name != local || local == "" || slices.Contains(reading, sel.Sel.Name) {
					return true
				}
				key := p.name() + " " + sel.Sel.Name
				used[key] = true
				if p.name() != "server/errs" && exceptions[key] == "" {
					t.Errorf("%s:%d: status.%s; only server/errs makes statuses", name, set.Position(n.Pos()).Line, sel.Sel.Name)
				}
				return true
			})
		})
	}
	if !seen["server/errs"] {
		t.Error("server/errs was not looked at")
	}
	for key := range exceptions {
		if !used[key] {
			t.Errorf("the exception %q is not used; take it off the list", key)
		}
	}
}

// importedAs returns the name of an import in a file, or "".
func importedAs(f *ast.File, path string) string {
	for _, spec := range f.Imports {
		if p, err := strconv.Unquote(spec.Path.Value); err != nil || p != path {
			continue
		}
		if spec.Name != nil {
			return spec.Name.Name
		}
		return path[strings.LastIndexByte(path, '/')+1:]
	}
	return ""
}

// eventMay names what package event may import beside what the rules may: messages
// of the protos, the rules, and what says how a caller, a number or a record is
// written. Statuses and transports are not among them.
var eventMay = []string{
	module + "/proto/rinktally/v1", module + "/proto/rinktally/log/v1", module + "/rules",
	module + "/server/access", module + "/server/ask", module + "/server/scoring", module + "/server/spreadsheet", module + "/server/store",
	"google.golang.org/protobuf", "golang.org/x/text/unicode/norm",
}

// TestEventIsPure looks at what decides and folds events, and at what shows
// them: time, actor and chance are arguments, so that the same facts give the
// same event at every time and on every server.
func TestEventIsPure(t *testing.T) {
	shows := []string{"server/live/board.go", "server/live/desk.go", "server/live/hall.go", "server/live/parts.go"}
	looked := map[string]bool{}
	for _, p := range packages(t) {
		switch p.name() {
		default:
			continue
		case "server/live":
		case "server/event":
			for _, path := range p.Imports {
				if !slices.Contains(pure, path) && !slices.ContainsFunc(eventMay, func(may string) bool { return under(path, may) }) {
					t.Errorf("%s imports %s; it only decides and folds", p.name(), path)
				}
			}
		}
		p.files(t, func(name string, set *token.FileSet, f *ast.File) {
			if p.name() != "server/event" && !slices.Contains(shows, name) {
				return
			}
			looked[p.name()] = true
			for _, path := range []string{"os", "net", "context", "math/rand", "math/rand/v2", "crypto/rand"} {
				if importedAs(f, path) != "" {
					t.Errorf("%s imports %s", name, path)
				}
			}
			clock := importedAs(f, "time")
			ast.Inspect(f, func(n ast.Node) bool {
				sel, ok := n.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				if x, ok := sel.X.(*ast.Ident); ok && x.Name == clock && clock != "" && slices.Contains([]string{"Now", "Since", "Until", "Sleep", "After", "NewTimer", "NewTicker"}, sel.Sel.Name) {
					t.Errorf("%s:%d: time.%s", name, set.Position(n.Pos()).Line, sel.Sel.Name)
				}
				return true
			})
		})
	}
	if !looked["server/event"] || !looked["server/live"] {
		t.Errorf("only %v was looked at", looked)
	}
}

// TestEngineHasNoTransport looks at what the engine as WebAssembly is made of: it
// calculates in a page, so it holds statuses of gRPC but nothing that calls or serves.
func TestEngineHasNoTransport(t *testing.T) {
	list := exec.CommandContext(t.Context(), "go", "list", "-deps", "./client/offline/engine")
	list.Dir, list.Env = "..", append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	out, err := list.Output()
	if err != nil {
		t.Fatal(err)
	}
	deps := strings.Fields(string(out))
	if !slices.Contains(deps, "google.golang.org/grpc/status") {
		t.Errorf("the engine's errors are statuses, but it is made of %v", deps)
	}
	for _, path := range deps {
		switch {
		case path == "google.golang.org/grpc", path == "net/http", path == "crypto/tls",
			under(path, "google.golang.org/grpc/internal/transport"), under(path, "golang.org/x/net"),
			under(path, "github.com/grpc-ecosystem/grpc-gateway/v2/runtime"), under(path, "go.uber.org/zap"):
			t.Errorf("the engine holds %s", path)
		}
	}
}
