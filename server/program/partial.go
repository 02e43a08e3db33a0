package program

import (
	"fmt"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	content "github.com/rinktally/rinktally/rules/program"
)

// leftOut collects what of a partial program is left out.
type leftOut struct {
	messages []*pb.LeftOut
	at       []int // position in the request of each element that is still in
}

func (l *leftOut) add(faults ...rules.FieldError) {
	for _, f := range faults {
		l.messages = append(l.messages, &pb.LeftOut{Field: f.Field, Reason: string(f.Reason), Message: f.Message})
	}
}

// take takes the faults of the notation and of grades, and returns the others.
func (l *leftOut) take(faults rules.FieldErrors) (others rules.FieldErrors) {
	for _, f := range faults {
		if strings.HasPrefix(f.Field, "text.") || strings.HasPrefix(f.Field, "elements[") {
			l.add(f)
		} else {
			others = append(others, f)
		}
	}
	return others
}

// takeElements takes the elements that are at fault out of a program. It says
// whether that can mend it: every fault was one of an element.
func (l *leftOut) takeElements(in *content.Program, faults rules.FieldErrors) bool {
	if len(l.at) != len(in.Elements) { // the first time
		l.at = make([]int, len(in.Elements))
		for i := range l.at {
			l.at[i] = i
		}
	}
	bad := map[int]rules.FieldError{}
	for _, f := range faults {
		var i int
		if _, err := fmt.Sscanf(f.Field, "elements[%d]", &i); err != nil || i >= len(in.Elements) {
			return false
		}
		f.Field = fmt.Sprintf("elements[%d]%s", l.at[i], f.Field[strings.IndexByte(f.Field, ']')+1:])
		bad[i] = f
	}
	elements, at := in.Elements, l.at
	in.Elements, l.at = nil, nil
	for i := range elements {
		if f, out := bad[i]; out {
			l.add(f)
			continue
		}
		in.Elements, l.at = append(in.Elements, elements[i]), append(l.at, at[i])
	}
	return true
}
