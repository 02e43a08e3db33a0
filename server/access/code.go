package access

import (
	"crypto/rand"
	"strings"
)

// A code is read aloud and typed, so nothing in it is taken for something else. It is
// short, and good only because it holds for minutes and wrong ones are limited.
const (
	codeSigns  = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ" // 32, so that each is as likely as another
	codeLength = 6
)

// NewCode makes a code with which somebody sits down at a desk.
func NewCode() string {
	code := make([]byte, codeLength)
	_, _ = rand.Read(code) // never fails
	for i := range code {
		code[i] = codeSigns[int(code[i])%len(codeSigns)]
	}
	return string(code)
}

// HashCode returns what is kept of a code, however it was typed: in small letters, or
// with spaces or hyphens in it.
func HashCode(code string) []byte {
	return Hash(strings.ToUpper(strings.NewReplacer(" ", "", "-", "").Replace(code)))
}
