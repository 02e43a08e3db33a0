package ask

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// Sizes of a page.
const (
	standardPage = 100
	largestPage  = 1000
)

// PageSize adds a fault to faults where a request asks for less than nothing, and
// returns how many items its page has.
func PageSize(asked int32, faults *rules.FieldErrors) int {
	switch {
	case asked < 0:
		faults.Add("pageSize", rules.ReasonFieldInvalid, "is %d; allowed are %s", asked, rules.Allow("1 to %d, or 0 for %d", largestPage, standardPage))
	case asked == 0:
		return standardPage
	}
	return min(int(asked), largestPage)
}

// ReasonPageToken equals the ErrorReason name of the public contract.
const ReasonPageToken rules.Reason = "PAGE_TOKEN_INVALID"

// List binds the tokens of one list's pages to what the list rests on: the arguments
// of the request and the revision of what is listed. A token holds a fingerprint of
// these and the place of the next item; it grants no right to anything.
type List [8]byte

// ListOf returns the list that rests on these.
func ListOf(basis ...string) List {
	sum := sha256.Sum256([]byte(strings.Join(basis, "\x00")))
	return List(sum[:8])
}

// Token returns the token of the page that begins with an item, counted from 0.
func (l List) Token(next int) string {
	return base64.RawURLEncoding.EncodeToString(binary.AppendUvarint(l[:], uint64(next)))
}

// Start returns the item that a token's page begins with; the empty token stands for
// 0. It reports whether the token is of this list.
func (l List) Start(token string) (int, bool) {
	if token == "" {
		return 0, true
	}
	raw, err := base64.RawURLEncoding.DecodeString(token)
	if err != nil || len(raw) <= len(l) || List(raw[:len(l)]) != l {
		return 0, false
	}
	next, n := binary.Uvarint(raw[len(l):])
	if n != len(raw)-len(l) || next > 1<<20 {
		return 0, false
	}
	return int(next), true
}
