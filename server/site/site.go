// Package site writes an event as a folder for any web space: pages without script, the
// papers, and the answers of the public calls as JSON. It asks as somebody without a
// token does, so nothing else is in it.
package site

import (
	"bytes"
	"cmp"
	"context"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

//go:embed event.html segment.html site.css
var files embed.FS

// pages are the templates of all pages.
var pages = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("").Funcs(functions).ParseFS(files, "*.html"))
})

var functions = template.FuncMap{
	"figure": func(s string) string { return strings.ReplaceAll(s, "-", "−") },
	"place":  place,
	"status": func(s pb.ResultStatus_Value) string {
		if s == pb.ResultStatus_OFFICIAL {
			return "Official"
		}
		return "Provisional"
	},
	"deduction": func(d *pb.ScoredDeduction) string {
		if d.GetNote() != "" {
			return d.GetNote()
		}
		return strings.ToLower(strings.ReplaceAll(d.GetKind().String(), "_", " "))
	},
	"plus": func(i int) int { return i + 1 },
}

// place is a place as tables show it, or why there is none.
func place(number int32, status pb.CompetitorStatus_Value) string {
	switch {
	case status == pb.CompetitorStatus_WITHDRAWN:
		return "withdrew"
	case status == pb.CompetitorStatus_DISQUALIFIED:
		return "disqualified"
	case number == 0:
		return ""
	default:
		return fmt.Sprint(number)
	}
}

// shown is an event as its page shows it.
type shown struct {
	Event      *pb.Event
	Categories []category
}

type category struct {
	*pb.EventCategory

	Final    *pb.FinalStanding
	Papers   []paper
	Segments []segment
}

type segment struct {
	*pb.EventSegment

	Event    *pb.Event
	Category *pb.EventCategory
	Standing *pb.SegmentStanding
	Papers   []paper
	Sheets   []*pb.Performance // confirmed, by place
}

// paper is a file beside a page.
type paper struct{ Title, PDF, CSV string }

// Write writes an event into a folder, which it makes and which must not exist. conn is
// the services that answer nobody in particular.
func Write(ctx context.Context, conn grpc.ClientConnInterface, event, dir string) error {
	if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s exists already; give a new name", dir)
	}
	partial := strings.TrimRight(dir, `/\`) + ".partial"
	if err := os.RemoveAll(partial); err != nil { // of one that was cut short
		return err
	}
	w := &writer{ctx: ctx, events: pb.NewEventServiceClient(conn), event: event, dir: partial}
	w.write()
	if w.err == nil {
		w.err = os.Rename(partial, dir)
	}
	if w.err != nil {
		_ = os.RemoveAll(partial) // what went wrong before is what has to be known
	}
	return w.err
}

// writer writes one event until something goes wrong.
type writer struct {
	ctx    context.Context //nolint:containedctx // of one folder
	events pb.EventServiceClient
	event  string
	dir    string
	err    error
}

func (w *writer) write() {
	event, err := w.events.GetEvent(w.ctx, &pb.GetEventRequest{Event: w.event})
	if err != nil {
		w.err = err
		return
	}
	page := shown{Event: event.GetEvent()}
	w.json("event.json", event)
	for _, c := range event.GetEvent().GetCategories() {
		page.Categories = append(page.Categories, w.category(page.Event, c))
	}
	w.page("index.html", "event.html", page)
	style, err := files.ReadFile("site.css")
	if err != nil {
		w.err = err
	}
	w.file("site.css", style)
}

func (w *writer) category(of *pb.Event, c *pb.EventCategory) category {
	out := category{EventCategory: c}
	final, err := w.events.GetFinalStanding(w.ctx, &pb.GetFinalStandingRequest{Event: w.event, Category: c.GetCategory()})
	if w.keep(err) {
		out.Final = final.GetStanding()
		w.json(c.GetCategory()+"/standing.json", final)
	}
	out.Papers = w.papers(c.GetCategory(), c.GetCategory(), "", map[pb.Document_Value]string{pb.Document_FINAL_RESULT: "Result over all segments"})
	for _, g := range c.GetSegments() {
		out.Segments = append(out.Segments, w.segment(of, c, g))
	}
	return out
}

func (w *writer) segment(of *pb.Event, c *pb.EventCategory, g *pb.EventSegment) segment {
	out := segment{EventSegment: g, Event: of, Category: c}
	dir := c.GetCategory() + "/" + g.GetSegment()
	standing, err := w.events.GetSegmentStanding(w.ctx, &pb.GetSegmentStandingRequest{Event: w.event, Category: c.GetCategory(), Segment: g.GetSegment()})
	if w.keep(err) {
		out.Standing = standing.GetStanding()
		w.json(dir+"/standing.json", standing)
	}
	out.Papers = w.papers(dir, c.GetCategory(), g.GetSegment(), map[pb.Document_Value]string{
		pb.Document_STARTING_ORDER: "Starting order", pb.Document_SEGMENT_RESULT: "Result", pb.Document_SCORE_SHEETS: "Score sheets",
	})
	for _, place := range out.Standing.GetPlaces() {
		res, err := w.events.GetPerformance(w.ctx, &pb.GetPerformanceRequest{Event: w.event, Category: c.GetCategory(), Segment: g.GetSegment(), Entry: place.GetEntry()})
		if !w.keep(err) {
			continue
		}
		w.json(dir+"/performances/"+place.GetEntry()+".json", res)
		if res.GetPerformance().GetState() == pb.PerformanceState_CONFIRMED {
			out.Sheets = append(out.Sheets, res.GetPerformance())
		}
	}
	w.page(dir+"/index.html", "segment.html", out)
	return out
}

// keep reports whether a call was answered. What the event does not have, such as the
// paper of an order that is not drawn, is left out.
func (w *writer) keep(err error) bool {
	switch errs.Code(err) {
	case codes.OK:
		return w.err == nil
	case codes.NotFound, codes.FailedPrecondition, codes.InvalidArgument:
	default:
		w.err = cmp.Or(w.err, err)
	}
	return false
}

// papers writes papers into a folder, in the order of the contract.
func (w *writer) papers(dir, category, segment string, titles map[pb.Document_Value]string) []paper {
	var list []paper
	for document := range pb.Document_Value(len(pb.Document_Value_name)) {
		if titles[document] == "" {
			continue
		}
		p := paper{Title: titles[document]}
		for format, name := range map[pb.DocumentFormat_Value]*string{pb.DocumentFormat_PDF: &p.PDF, pb.DocumentFormat_CSV: &p.CSV} {
			res, err := w.events.GetDocument(w.ctx, &pb.GetDocumentRequest{Event: w.event, Category: category, Segment: segment, Document: document, Format: format})
			if w.keep(err) {
				*name = res.GetFile().GetFilename()
				w.file(dir+"/"+*name, res.GetFile().GetData())
			}
		}
		if p.PDF != "" {
			list = append(list, p)
		}
	}
	return list
}

// json writes an answer as REST has it.
func (w *writer) json(name string, answer proto.Message) {
	data, err := protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(answer)
	if err == nil {
		var out bytes.Buffer
		err = json.Indent(&out, data, "", " ")
		data = append(out.Bytes(), '\n')
	}
	w.err = errors.Join(w.err, err)
	w.file(name, data)
}

func (w *writer) page(name, template string, of any) {
	var out bytes.Buffer
	w.err = errors.Join(w.err, pages().ExecuteTemplate(&out, template, of))
	w.file(name, out.Bytes())
}

func (w *writer) file(name string, data []byte) {
	if w.err != nil {
		return
	}
	const folders, plain = 0o755, 0o644 // everybody is to read it
	path := filepath.Join(w.dir, filepath.FromSlash(name))
	if w.err = os.MkdirAll(filepath.Dir(path), folders); w.err == nil {
		w.err = os.WriteFile(path, data, plain)
	}
}
