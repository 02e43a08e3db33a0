package form

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
)

// Limits bound what a body may hold. They are checked on its bytes before
// anything is built from them: a megabyte of "{}" would otherwise become fifty
// of memory.
type Limits struct {
	Bytes int // of the body

	values int // of all numbers, texts, lists and objects together
	items  int // of any one list or object
	depth  int // of lists and objects within each other
}

// Bounds of one segment and of a batch of them. A segment of 20 elements and 20
// judges has under 700 values.
const (
	MaxDepth       = 32
	MaxItems       = 1000
	maxValues      = 20_000
	maxBatchValues = 1_000_000
)

// MaxBody and MaxBatchBody are the bytes that a body may have where nothing else is
// said: one with one segment or program, and one with many.
const (
	MaxBody      = 1 << 20
	MaxBatchBody = 8 << 20
)

// Limits returns what the route's body may hold: one is the bytes of a body with one
// segment or program, many those of a body with many.
func (r *Route) Limits(one, many int) Limits {
	if strings.HasPrefix(r.verb, "batch") {
		return Limits{Bytes: many, values: maxBatchValues, items: MaxItems, depth: MaxDepth}
	}
	return Limits{Bytes: one, values: maxValues, items: MaxItems, depth: MaxDepth}
}

// Check refuses a body that breaks a limit.
func (l Limits) Check(data []byte) error {
	if len(data) > l.Bytes {
		return TooLarge(l.Bytes)
	}
	if x := measure(data, l); x != nil {
		return x.err(data)
	}
	return nil
}

// excess is the first limit that a body breaks.
type excess struct {
	reason pb.ErrorReason_Value
	at     int // byte that breaks it
	max    int
}

// measure checks a body against limits in one pass and without building
// anything. It takes any bytes; whether they are JSON is for others to say.
func measure(data []byte, most Limits) *excess {
	var items [MaxDepth + 1]int // of each open list or object
	depth, values := 0, 1
	for i := 0; i < len(data); i++ {
		switch data[i] {
		case '"':
			i = textEnd(data, i)
		case '[', '{':
			if depth == most.depth {
				return &excess{pb.ErrorReason_BODY_TOO_DEEP, i, most.depth}
			}
			depth++
			items[depth] = 1
			values++
		case ']', '}':
			if depth > 0 {
				depth--
			}
		case ',':
			values++
			if items[depth]++; items[depth] > most.items {
				return &excess{pb.ErrorReason_TOO_MANY_ITEMS, i, most.items}
			}
		}
		if values > most.values {
			return &excess{pb.ErrorReason_TOO_MANY_ITEMS, i, most.values}
		}
	}
	return nil
}

// err says which limit is broken and where.
func (x *excess) err(data []byte) error {
	path := cmp.Or(pathAt(data, x.at), wholeBody)
	if x.reason == pb.ErrorReason_BODY_TOO_DEEP {
		return errs.From(rules.Fault(Show(path), rules.Reason(x.reason.String()), "is nested deeper than %s", rules.Allow("%d lists and objects", x.max)), nil)
	}
	return errs.TooMany(path, x.max)
}

// TooLarge refuses a body of more than so many bytes.
func TooLarge(most int) error {
	return errs.New(pb.ErrorReason_BODY_TOO_LARGE,
		fmt.Sprintf("the body is larger than %d bytes; send fewer segments in one call", most), "max_bytes", strconv.Itoa(most))
}
