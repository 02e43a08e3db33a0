package rulesvc

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// reasonPageToken equals the ErrorReason name of the public contract.
const reasonPageToken rules.Reason = "PAGE_TOKEN_INVALID"

// page binds the tokens of one list to its arguments and the table's revision.
// A token holds a fingerprint of these and the place of the next entry; it gives
// no right to anything.
type page [8]byte

func pageOf(arguments ...string) page {
	sum := sha256.Sum256([]byte(strings.Join(arguments, "\x00")))
	return page(sum[:8])
}

func (p page) token(next int) string {
	return base64.RawURLEncoding.EncodeToString(binary.AppendUvarint(p[:], uint64(next)))
}

// start gives the place that a token stands for; the empty token stands for 0.
func (p page) start(token string) (int, bool) {
	if token == "" {
		return 0, true
	}
	raw, err := base64.RawURLEncoding.DecodeString(token)
	if err != nil || len(raw) <= len(p) || page(raw[:len(p)]) != p {
		return 0, false
	}
	next, n := binary.Uvarint(raw[len(p):])
	if n != len(raw)-len(p) || next > 1<<20 {
		return 0, false
	}
	return int(next), true
}
