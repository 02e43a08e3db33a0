// Package kept makes what many ask for once, and keeps it while it is asked for.
package kept

import "sync"

// Answers keeps what was made for the last keys. It is safe for use by several
// goroutines.
type Answers[K comparable, V any] struct {
	most int

	mu   sync.Mutex
	made map[K]V
}

// New makes an empty store for at most so many keys.
func New[K comparable, V any](most int) *Answers[K, V] {
	return &Answers[K, V]{most: most, made: map[K]V{}}
}

// Get returns what was made for a key, and makes it where it is not there. Whoever
// asks meanwhile waits, so that a crowd has it made once. Callers share it and must
// not change it. When there are too many keys, all that was made before goes.
func (a *Answers[K, V]) Get(key K, fresh func() (V, error)) (V, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if v, ok := a.made[key]; ok {
		return v, nil
	}
	v, err := fresh()
	if err != nil {
		return v, err
	}
	if len(a.made) >= a.most {
		clear(a.made)
	}
	a.made[key] = v
	return v, nil
}
