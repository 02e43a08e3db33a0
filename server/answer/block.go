package answer

// Block makes messages of one kind in one piece of memory.
type Block[T any] struct{ pointers []*T }

// NewBlock makes a block for n messages.
func NewBlock[T any](n int) *Block[T] {
	items := make([]T, n)
	b := &Block[T]{pointers: make([]*T, n)}
	for i := range items {
		b.pointers[i] = &items[i]
	}
	return b
}

// Take returns the next n messages, or nil for 0.
func (b *Block[T]) Take(n int) []*T {
	if n == 0 {
		return nil
	}
	taken := b.pointers[:n:n]
	b.pointers = b.pointers[n:]
	return taken
}
