package api

import (
	"context"
	"crypto/sha256"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event/api/document"
)

// maxPapers limits the bytes of the papers that are kept. The papers of a day with
// ten categories are a few megabytes.
const maxPapers = 16 << 20

// papers keeps the papers that were printed last, so that a crowd that asks for a
// result has it printed once. One call at a time has the desk: whatever the crowd,
// at most one of its calls prints, or waits for the event, beside the judges' calls.
type papers struct {
	desk  chan struct{} // full while a call has the desk, which guards what follows
	kept  map[paper]printed
	bytes int // of all kept files
}

// paper names a paper. What it shows follows from this and the event's sequence.
type paper struct {
	event, category, segment, entry string
	document                        pb.Document_Value
	format                          pb.DocumentFormat_Value
	role                            pb.Role_Value
	judge                           int32
}

// printed is a paper as it was at a sequence, by tables of a revision. While its content
// stays the same, so does the file: it says as of when that is.
type printed struct {
	sequence uint64
	tables   string
	content  [sha256.Size]byte
	file     *pb.File
}

func newPapers() *papers {
	return &papers{desk: make(chan struct{}, 1), kept: map[paper]printed{}}
}

// take waits for the desk as long as the call lasts.
func (p *papers) take(ctx context.Context) error {
	select {
	case p.desk <- struct{}{}:
		return nil
	case <-ctx.Done():
		return errs.Context(ctx)
	}
}

func (p *papers) leave() { <-p.desk }

// keep replaces what was kept of a paper. When all are too much, all go.
func (p *papers) keep(name paper, made printed) {
	p.bytes -= len(p.kept[name].file.GetData())
	delete(p.kept, name)
	size := len(made.file.GetData())
	if p.bytes+size > maxPapers {
		clear(p.kept)
		p.bytes = 0
	}
	if size <= maxPapers {
		p.kept[name] = made
		p.bytes += size
	}
}

// paper returns the file of a request, which callers share and must not change. It
// is called with the desk taken.
func (v *Service) paper(ctx context.Context, req *pb.GetDocumentRequest, write func(document.Document) (*pb.File, error)) (*pb.File, error) {
	actor := access.From(ctx)
	name := paper{
		event: req.GetEvent(), category: req.GetCategory(), segment: req.GetSegment(), entry: req.GetEntry(),
		document: req.GetDocument(), format: req.GetFormat(), role: actor.Role, judge: actor.Judge,
	}
	var content document.Document
	made := printed{}
	err := v.view(ctx, req, func(r *Reader) (err error) {
		made.sequence, made.tables = r.Seq, r.season.Revision
		if r.changed != nil {
			made.tables += r.changed.Message
		}
		if old, ok := v.papers.kept[name]; ok && old.sequence == made.sequence && old.tables == made.tables {
			made.file = old.file
			return nil
		}
		content, err = r.document(req)
		return err
	})
	if err != nil || made.file != nil {
		return made.file, err
	}
	if made.content, err = content.Content(); err != nil {
		return nil, errs.From(err, req)
	}
	if old, ok := v.papers.kept[name]; ok && old.content == made.content && old.tables == made.tables {
		made.file = old.file
		v.papers.kept[name] = made
		return made.file, nil
	}
	// Printing takes a while, so it happens after the state was read.
	if made.file, err = write(content); err != nil {
		return nil, errs.From(err, req)
	}
	v.papers.keep(name, made)
	return made.file, nil
}
