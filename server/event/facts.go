package event

import (
	"bytes"
	"errors"
	"fmt"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	"github.com/rinktally/rinktally/server/store"
)

// factsPackage is the proto package of the stored form.
var factsPackage = logv1.File_rinktally_log_v1_facts_proto.Package()

// Kind returns the kind of a fact: the name of its message in factsPackage.
func Kind(fact proto.Message) string { return string(fact.ProtoReflect().Descriptor().Name()) }

// SaltBytes is the length of the chance that stands ahead of what is kept apart of a
// fact.
const SaltBytes = 16

// Encode returns a fact as the log keeps it. Fields that can be erased are kept
// apart, behind the salt, which is random and used once. Of a fact without such
// fields nothing is; but that of a call that changed nothing has its salt there,
// which the digest of the call is made with.
func Encode(fact proto.Message, actor string, salt []byte) (store.Fact, error) {
	inside, outside := proto.Clone(fact).ProtoReflect(), fact.ProtoReflect().New()
	some := takeApart(inside, outside)
	deterministic := proto.MarshalOptions{Deterministic: true}
	body, err := deterministic.Marshal(inside.Interface())
	if err != nil {
		return store.Fact{}, fmt.Errorf("fact %T: %w", fact, err)
	}
	encoded := store.Fact{Kind: Kind(fact), Body: body, Actor: actor}
	if some || encoded.Kind == nothingChanged {
		encoded.Apart, err = deterministic.MarshalAppend(bytes.Clone(salt), outside.Interface())
	}
	return encoded, err
}

// takeApart moves the fields that can be erased from one message to another of its
// type and reports whether there were any.
func takeApart(from, to protoreflect.Message) bool {
	some := false
	from.Range(func(field protoreflect.FieldDescriptor, value protoreflect.Value) bool {
		switch {
		case proto.GetExtension(field.Options(), logv1.E_Apart).(bool):
			to.Set(field, value)
			from.Clear(field)
			some = true
		case field.Message() != nil && !field.IsList() && !field.IsMap():
			part := to.NewField(field)
			if takeApart(value.Message(), part.Message()) {
				to.Set(field, part)
				some = true
			}
		}
		return true
	})
	return some
}

// HoldsToken reports whether what stands apart from a fact is the hash of a token or
// of a code, and not something of a person.
func HoldsToken(f *store.Fact) bool { return f.Kind == tokenIssued || f.Kind == seatOffered }

// tokenIssued and seatOffered are the kinds of the facts that make a token and a code.
var (
	tokenIssued = Kind(&logv1.TokenIssued{})
	seatOffered = Kind(&logv1.SeatOffered{})
)

// Decode reads a fact of the log, with what stands apart from it as far as that was
// not erased. A kind or field that this program does not
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
	if f.Apart != nil {
		if len(f.Apart) < SaltBytes {
			return nil, fmt.Errorf("kind %q: what stands apart has no salt", f.Kind)
		}
		if err := (proto.UnmarshalOptions{Merge: true}).Unmarshal(f.Apart[SaltBytes:], fact); err != nil {
			return nil, fmt.Errorf("kind %q: what stands apart: %w", f.Kind, err)
		}
	}
	if len(fact.ProtoReflect().GetUnknown()) > 0 {
		return nil, fmt.Errorf("a fact of kind %q has fields that are not known: they were written by a newer program", f.Kind)
	}
	return fact, nil
}
