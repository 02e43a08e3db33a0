package access

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"strings"
)

// A token is "rt_<event>_<secret>", that of a book of attempts "rb_<book>_<secret>".
// The event says where its hash is kept; it is empty in the administrator's tokens. The
// secret is 256 random bits, so a hash without salt or stretching cannot be guessed
// back.
const (
	tokenPrefix = "rt"
	bookPrefix  = "rb"
	tokenParts  = 3
	secretBytes = 32
	maxToken    = 256 // longer texts are no tokens
)

// NewToken makes a token for an event; for the whole server when it is "".
func NewToken(event string) string { return newToken(tokenPrefix, event) }

// NewBookToken makes a token for a book of attempts.
func NewBookToken(book string) string { return newToken(bookPrefix, book) }

func newToken(prefix, of string) string {
	secret := make([]byte, secretBytes)
	_, _ = rand.Read(secret) // never fails
	return strings.Join([]string{prefix, of, base64.RawURLEncoding.EncodeToString(secret)}, "_")
}

// Hash returns what is kept of a token.
func Hash(token string) []byte {
	sum := sha256.Sum256([]byte(token))
	return sum[:]
}

// ofToken returns what a token says it is for: an event, the server ("") or a book,
// by its prefix.
func ofToken(prefix, token string) (of string, ok bool) {
	parts := strings.SplitN(token, "_", tokenParts)
	if len(token) > maxToken || len(parts) != tokenParts || parts[0] != prefix || parts[2] == "" {
		return "", false
	}
	return parts[1], true
}

// bearer returns the token of an Authorization header.
func bearer(header string) (token string, ok bool) {
	const scheme = "bearer "
	if len(header) <= len(scheme) || !strings.EqualFold(header[:len(scheme)], scheme) {
		return "", false
	}
	return strings.TrimSpace(header[len(scheme):]), true
}
