package event

import (
	"errors"
	"fmt"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	"github.com/rinktally/rinktally/server/store"
)

// factsPackage is the proto package of the stored form. A fact's kind is the
// name of its message in there.
var factsPackage = logv1.File_rinktally_log_v1_facts_proto.Package()

// Encode returns a fact as the log keeps it.
func Encode(fact proto.Message, actor string) (store.Fact, error) {
	body, err := proto.MarshalOptions{Deterministic: true}.Marshal(fact)
	if err != nil {
		return store.Fact{}, fmt.Errorf("fact %T: %w", fact, err)
	}
	return store.Fact{Kind: string(fact.ProtoReflect().Descriptor().Name()), Body: body, Actor: actor}, nil
}

// Decode reads a fact of the log. A kind or field that this program does not
// know was written by a newer one; folding on without it would show wrong
// results, so it is an error.
func Decode(f *store.Fact) (proto.Message, error) {
	name := factsPackage.Append(protoreflect.Name(f.Kind))
	found, err := protoregistry.GlobalTypes.FindMessageByName(name)
	if errors.Is(err, protoregistry.NotFound) || !name.IsValid() {
		return nil, fmt.Errorf("facts of kind %q are not known: they were written by a newer program", f.Kind)
	}
	if err != nil {
		return nil, fmt.Errorf("kind %q: %w", f.Kind, err)
	}
	fact := found.New().Interface()
	if err := proto.Unmarshal(f.Body, fact); err != nil {
		return nil, fmt.Errorf("kind %q: %w", f.Kind, err)
	}
	if len(fact.ProtoReflect().GetUnknown()) > 0 {
		return nil, fmt.Errorf("a fact of kind %q has fields that are not known: they were written by a newer program", f.Kind)
	}
	return fact, nil
}
