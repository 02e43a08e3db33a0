package events_test

import (
	"net"
	"sync"
	"testing"
)

// wire is a network between those who call and a server, which a test takes away in
// two ways: one that both ends notice, and one that nobody does.
type wire struct {
	listener net.Listener

	mu    sync.Mutex
	far   [2]string         // network and address of the server
	ends  map[net.Conn]bool // of all connections
	away  bool              // connections end at once
	moves chan struct{}     // closed while bytes move
}

// newWire makes a network between a listener and an address, until the test ends.
func newWire(t *testing.T, listener net.Listener, network, address string) *wire {
	t.Helper()
	w := &wire{listener: listener, far: [2]string{network, address}, ends: map[net.Conn]bool{}, moves: make(chan struct{})}
	close(w.moves)
	accepting := make(chan struct{})
	go func() {
		defer close(accepting)
		for {
			near, err := listener.Accept()
			if err != nil {
				return
			}
			w.connect(near)
		}
	}()
	t.Cleanup(func() {
		_ = listener.Close()
		<-accepting
		w.cut()
	})
	return w
}

// lead lets new connections lead to an address.
func (w *wire) lead(network, address string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.far = [2]string{network, address}
}

func (w *wire) connect(near net.Conn) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if !w.away {
		if far, err := net.Dial(w.far[0], w.far[1]); err == nil {
			w.ends[near], w.ends[far] = true, true
			go w.move(near, far)
			go w.move(far, near)
			return
		}
	}
	_ = near.Close()
}

// move moves bytes until an end is closed. What is held comes late, and whole.
func (w *wire) move(from, to net.Conn) {
	buffer := make([]byte, 32<<10)
	for {
		n, err := from.Read(buffer)
		w.mu.Lock()
		moves := w.moves
		w.mu.Unlock()
		<-moves
		if n > 0 && err == nil {
			_, err = to.Write(buffer[:n])
		}
		if err != nil {
			break
		}
	}
	_, _ = from.Close(), to.Close()
	w.mu.Lock()
	defer w.mu.Unlock()
	delete(w.ends, from)
	delete(w.ends, to)
}

// cut ends all connections, and new ones as soon as they are made.
func (w *wire) cut() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.away = true
	for end := range w.ends {
		_ = end.Close()
	}
	w.pass()
}

// hold lets no byte through, and ends nothing.
func (w *wire) hold() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.moves = make(chan struct{})
}

// heal lets everything through again.
func (w *wire) heal() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.away = false
	w.pass()
}

func (w *wire) pass() {
	select {
	case <-w.moves:
	default:
		close(w.moves)
	}
}
