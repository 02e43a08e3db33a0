package storetest

import (
	"errors"
	"fmt"
	"testing"

	"github.com/rinktally/rinktally/server/store"
)

// RunFull checks what a full disk does: it refuses appends, in groups too, harms
// nothing, and is over when there is room. fill leaves little room, free gives
// it back.
func RunFull(t *testing.T, log store.Log, fill, free func()) {
	t.Helper()
	written := add(t, log, "s", 0, "before", 1).Last
	fill()
	refused := 0
	for i := 0; refused < 5 && i < 5000; i++ {
		result, err := log.Append(t.Context(), "s", written, fmt.Sprint(i), []store.Fact{{Kind: "k", Body: noise(i)}})
		switch {
		case err == nil:
			written = result.Last
		case errors.Is(err, store.ErrStoreFull):
			refused++
		default:
			t.Fatalf("append %d: %v", i, err)
		}
	}
	if refused < 5 {
		t.Fatalf("%d appends and never full", written)
	}
	if got := len(all(t, log, "s")); got != int(written) {
		t.Fatalf("a full store holds %d records; %d were acknowledged", got, written)
	}
	if err := log.Ready(t.Context()); err != nil {
		t.Errorf("a full store can still be read: %v", err)
	}
	free()
	if result := add(t, log, "s", written, "after", 1); result.Last != written+1 {
		t.Fatalf("with room again: %+v", result)
	}
	if got := len(all(t, log, "s")); got != int(written+1) {
		t.Errorf("%d records, want %d", got, written+1)
	}
}

// noise returns bytes that no database can squeeze.
func noise(seed int) []byte {
	made := make([]byte, 8000)
	x := uint32(seed)*2654435761 + 1
	for i := range made {
		x ^= x << 13
		x ^= x >> 17
		x ^= x << 5
		made[i] = byte(x)
	}
	return made
}
