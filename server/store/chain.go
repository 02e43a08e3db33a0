package store

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"time"
)

// Hash is a link of the chain: SHA-256 over the hash of the record ahead and
// over every field of this one. A record that was changed, taken out or put in
// later no longer fits; the last hash of a stream stands for all of it.
type Hash [sha256.Size]byte

// String returns the hash in hexadecimal digits.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// MarshalText returns the hash in hexadecimal digits.
func (h Hash) MarshalText() ([]byte, error) { return []byte(h.String()), nil }

// UnmarshalText reads 64 hexadecimal digits.
func (h *Hash) UnmarshalText(text []byte) error {
	if len(text) != 2*len(h) {
		return fmt.Errorf("a hash has %d hexadecimal digits, found %d characters", 2*len(h), len(text))
	}
	_, err := hex.Decode(h[:], text)
	return err
}

// Link returns the hash that the record has behind a record with the given one;
// the first of a stream has the zero hash ahead. Texts are preceded by their
// length, so that no two records look alike.
func (r *Record) Link(ahead Hash) Hash {
	sum := sha256.New()
	var number [8]byte
	put := func(n uint64) {
		binary.BigEndian.PutUint64(number[:], n)
		sum.Write(number[:])
	}
	text := func(s string) {
		put(uint64(len(s)))
		sum.Write([]byte(s))
	}
	sum.Write(ahead[:])
	text(r.Stream)
	put(r.Seq)
	text(r.Kind)
	put(uint64(len(r.Body)))
	sum.Write(r.Body)
	text(r.Actor)
	text(r.RequestID)
	put(uint64(r.RecordedAt.UnixMicro()))
	if r.Seal != (Hash{}) {
		sum.Write(r.Seal[:])
	}
	return Hash(sum.Sum(nil))
}

// SealOf returns the seal of what stands apart from a fact; zero where nothing does.
func SealOf(apart []byte) Hash {
	if apart == nil {
		return Hash{}
	}
	return sha256.Sum256(apart)
}

// Head is the end of a stream: what the next record must follow. The zero Head
// is that of a stream without records.
type Head struct {
	Seq        uint64
	RecordedAt time.Time
	Hash       Hash
}

// Head returns the end of a stream that ends with this record.
func (r *Record) Head() Head { return Head{r.Seq, r.RecordedAt, r.Hash} }

// EndsWith checks that a stream whose end is kept has the hash of its last record;
// nil where that record is missing. The error is a *DamagedError.
func (h Head) EndsWith(stream string, last []byte) error {
	switch {
	case last == nil:
		return &DamagedError{Stream: stream, Seq: h.Seq, Fault: "is missing: the end of the stream was cut off"}
	case string(last) != string(h.Hash[:]):
		return &DamagedError{Stream: stream, Seq: h.Seq, Fault: "the hash is not that of the stream's end: the record was changed"}
	default:
		return nil
	}
}

// Follows checks that a record is the one behind the head: its number and its
// hash, which is over its time as well. The error is a *DamagedError.
func (r *Record) Follows(head Head) error {
	var fault string
	switch {
	case r.Seq != head.Seq+1:
		fault = fmt.Sprintf("follows record %d: a record is missing or out of order", head.Seq)
	case r.Hash != r.Link(head.Hash):
		fault = "the hash does not fit: this record, or one ahead of it, was changed"
	case r.Apart != nil && r.Seal != SealOf(r.Apart):
		fault = "the seal does not fit: what stands apart from this record was changed"
	default:
		return nil
	}
	return &DamagedError{Stream: r.Stream, Seq: r.Seq, Fault: fault}
}
