// Package batch is what calls with many items share: how many they take, what an
// item inherits from its batch, and that one bad item is answered with its error
// while the others go on.
package batch

import (
	"context"
	"fmt"

	spb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
)

// Max is the largest number of items of one batch.
const Max = 1000

// Request is a batch, or an item of one that a batch of its season holds.
type Request interface {
	proto.Message
	GetSeason() string
	GetRevision() string
}

// Count says that a batch is empty or too large. The name of the field is also the
// word for its items.
func Count(field string, n int) rules.FieldErrors {
	var faults rules.FieldErrors
	switch {
	case n == 0:
		faults.Add(field, rules.ReasonFieldRequired, "is empty: give %s %s", rules.Allow("1 to %d", Max), field)
	case n > Max:
		faults.Add(field, rules.ReasonTooManyItems, "has %d %s; allowed in one call are %s; send several", n, field, rules.Allow("1 to %d", Max))
	}
	return faults
}

// Each answers the items of a batch in their order. A fault of the program in one item
// must not take the others with it. It ends early when the caller has gone.
func Each[Item, Result any](ctx context.Context, items []Item, answer func(i int, item Item) (Result, error), failed func(*spb.Status) Result) ([]Result, error) {
	results := make([]Result, len(items))
	for i, item := range items {
		if err := errs.Context(ctx); err != nil {
			return nil, err
		}
		results[i] = One(func() (Result, error) { return answer(i, item) }, failed)
	}
	return results, nil
}

// One answers one item of many.
func One[Result any](answer func() (Result, error), failed func(*spb.Status) Result) (result Result) {
	defer func() {
		if p := recover(); p != nil {
			result = failed(errs.Proto(errs.Internal(fmt.Errorf("an item of a batch: panic: %v", p))))
		}
	}()
	result, err := answer()
	if err != nil {
		return failed(errs.Proto(err))
	}
	return result
}

// Inherit returns an item with the season and revision of its batch where it names
// none. An item of another season does not get the batch's revision. The item itself
// is not changed.
func Inherit[Item Request](item Item, batch Request) Item {
	if item.GetSeason() != "" {
		return item
	}
	// The lists are shared: a deep copy would cost as much as the scoring.
	copied := answer.Shallow(item)
	own := copied.ProtoReflect()
	set := func(name protoreflect.Name, value string) {
		own.Set(own.Descriptor().Fields().ByName(name), protoreflect.ValueOfString(value))
	}
	set("season", batch.GetSeason())
	if item.GetRevision() == "" {
		set("revision", batch.GetRevision())
	}
	return copied
}

// Warning is a warning whose fields are paths in an item.
type Warning interface{ GetFields() []string }

// Place puts the place of an item in its batch in front of the paths that the warnings
// of its answer name.
func Place[W Warning](field string, i int, warnings []W) {
	for _, w := range warnings {
		fields := w.GetFields()
		for j, path := range fields {
			fields[j] = fmt.Sprintf("%s[%d].%s", field, i, path)
		}
	}
}
