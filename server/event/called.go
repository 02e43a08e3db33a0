package event

import (
	"fmt"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/scoring"
)

// called is how requests say what an element is.
type called interface {
	GetCode() string
	GetSkated() *pb.LevelledElement
}

// codeOf returns the canonical code of an element that stands in front of another
// one: the request's own, or the one found from what was skated there and before,
// which comes with it. The code is empty when the request says neither. What was
// skated in words is kept as the structure that the words stand for.
func (d Decision) codeOf(p *Performance, r called, before int32) (code string, skated *pb.LevelledElement, _ error) {
	if r.GetSkated() == nil {
		code, err := d.read(r.GetCode(), "code")
		return code, nil, err
	}
	if r.GetCode() != "" {
		return "", nil, rules.FieldErrors{{Field: "skated", Reason: rules.ReasonFieldInvalid, Message: "stands beside code; give one of the two"}}
	}
	req := d.LevelsRequest(p, before)
	last := len(req.GetElements())
	req.Elements = append(req.Elements, r.GetSkated())
	season, err := d.Season()
	if err != nil {
		return "", nil, err
	}
	res, faults := scoring.LevelsIn(season, nil, req)
	if len(faults) > 0 {
		return "", nil, underSkated(faults, last)
	}
	call := res.GetElements()[last]
	if call.GetCode() == "" {
		return "", nil, rules.FieldErrors{{
			Field: "skated", Reason: rules.ReasonFieldInvalid,
			Message: "makes no element: " + strings.Join(call.GetNotes(), " "),
		}}
	}
	if skated, faults = scoring.Structured(r.GetSkated()); len(faults) > 0 {
		return "", nil, faults // LevelsIn has read the words already
	}
	code, err = FoundCode(call)
	return code, skated, err
}

// read returns the canonical code of what the panel typed, in whichever letters. What
// the season does not know is left for the check of the whole sheet to refuse, which
// says what there is instead.
func (d Decision) read(typed, field string) (string, error) {
	if typed == "" {
		return "", nil
	}
	season, err := d.Season()
	if err != nil {
		return "", err
	}
	if code, unknown := value.Read(season, typed); unknown == nil {
		return code.Element.String(), nil
	}
	return canonical(typed, field)
}

// FoundCode returns the canonical code of an element whose level was found; it is
// empty when what was skated makes no element.
func FoundCode(call *pb.CalledElement) (string, error) {
	code := call.GetCode()
	if code != "" && call.GetNoValue() && !strings.HasSuffix(code, "*") {
		code += "*"
	}
	return canonical(code, "skated")
}

func canonical(code, field string) (string, error) {
	if code == "" {
		return "", nil
	}
	parsed, err := element.Parse(code)
	if err != nil {
		return "", rules.FieldErrors{{Field: field, Reason: rules.ReasonCodeInvalid, Message: err.Error()}}
	}
	return parsed.String(), nil
}

// underSkated returns the paths of the level call as those of the panel's request.
func underSkated(faults rules.FieldErrors, last int) rules.FieldErrors {
	own := fmt.Sprintf("elements[%d]", last)
	out := make(rules.FieldErrors, len(faults))
	for i, f := range faults {
		if rest, ok := strings.CutPrefix(f.Field, own); ok {
			f.Field = "skated" + rest
		}
		out[i] = f
	}
	return out
}
