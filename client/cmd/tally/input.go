package main

import (
	"errors"
	"io"
	"os"
	"regexp"
	"strings"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// open opens a file; "-" is standard input. The size is -1 where it is unknown.
func (a *app) open(name string) (_ io.ReadCloser, size int64, _ error) {
	if name == "-" {
		return io.NopCloser(a.in), -1, nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, 0, usageError{err}
	}
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return f, -1, nil //nolint:nilerr // the size is only for showing progress
	}
	return f, info.Size(), nil
}

func (a *app) readAll(name string) ([]byte, error) {
	f, _, err := a.open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close() //nolint:errcheck // only read
	data, err := io.ReadAll(f)
	if err != nil {
		return nil, usagef("%s: %w", name, err)
	}
	return data, nil
}

// The decoder says "proto:", in a spelling it varies on purpose, and then what
// is wrong and where.
var decoderPrefix = regexp.MustCompile(`^proto:\s*|\x{a0}`)

// decode reads strict JSON of a message: an unknown field is an error.
func decode(data []byte, m proto.Message) error {
	if err := protojson.Unmarshal(data, m); err != nil {
		text := strings.TrimSpace(decoderPrefix.ReplaceAllString(err.Error(), ""))
		return errors.New(text)
	}
	return nil
}
