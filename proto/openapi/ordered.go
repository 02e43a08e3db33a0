package openapi

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
)

// Ordered is a JSON object whose members keep their order: paths and fields are read
// by people in the order of the protos.
type Ordered[T any] []Member[T]

// Member is a member of an object.
type Member[T any] struct {
	Name  string
	Value T
}

// Add puts a member behind the others.
func (o *Ordered[T]) Add(name string, value T) { *o = append(*o, Member[T]{name, value}) }

// Get returns the member of a name, the zero value when there is none.
func (o Ordered[T]) Get(name string) T {
	for _, m := range o {
		if m.Name == name {
			return m.Value
		}
	}
	var none T
	return none
}

// MarshalJSON writes the members in their order.
func (o Ordered[T]) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	to := json.NewEncoder(&out)
	to.SetEscapeHTML(false)
	out.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			out.WriteByte(',')
		}
		if err := to.Encode(m.Name); err != nil {
			return nil, err
		}
		out.WriteByte(':')
		if err := to.Encode(m.Value); err != nil {
			return nil, fmt.Errorf("%s: %w", m.Name, err)
		}
	}
	out.WriteByte('}')
	return out.Bytes(), nil
}

// UnmarshalJSON reads the members in the order in which they stand.
func (o *Ordered[T]) UnmarshalJSON(data []byte) error {
	from := json.NewDecoder(bytes.NewReader(data))
	if open, err := from.Token(); err != nil || open != json.Delim('{') {
		return fmt.Errorf("%.40q is no object: %w", data, err)
	}
	*o = Ordered[T]{}
	for from.More() {
		name, err := from.Token()
		if err != nil {
			return err
		}
		var m Member[T]
		m.Name, _ = name.(string)
		if err := from.Decode(&m.Value); err != nil {
			return fmt.Errorf("%s: %w", m.Name, err)
		}
		if slices.ContainsFunc(*o, func(other Member[T]) bool { return other.Name == m.Name }) {
			return fmt.Errorf("%s stands there twice", m.Name)
		}
		*o = append(*o, m)
	}
	_, err := from.Token()
	return err
}
