package storetest

import (
	"context"
	"fmt"
	"reflect"
	"testing"

	"github.com/rinktally/rinktally/server/store"
)

// RunCopies makes copies of a log while facts are appended to it, and checks
// that each holds the beginning of every stream, with all that was acknowledged
// before the copy began, and goes on like any other log. makeCopy makes the copy
// of that number and returns a function that opens it.
func RunCopies(t *testing.T, log store.Log, copies int, makeCopy func(int) (func() store.Log, error)) {
	t.Helper()
	const before = 50 // facts of each stream, ahead of the first copy
	streams := []string{"copied/0", "copied/1"}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	begun, done := make(chan struct{}), make(chan error, 1)
	go func() {
		for i := 0; ; i++ {
			if i == 2*before {
				close(begun)
			}
			request := fmt.Sprint(i)
			_, err := log.Append(context.WithoutCancel(ctx), streams[i%2], uint64(i/2), request, facts(request, 1))
			if err != nil || ctx.Err() != nil {
				done <- err
				return
			}
		}
	}()
	select {
	case <-begun:
	case err := <-done:
		t.Fatal(err)
	}
	var made []func() store.Log
	for i := range copies {
		open, err := makeCopy(i)
		if err != nil {
			t.Errorf("copy %d: %v", i, err)
			continue
		}
		made = append(made, open)
	}
	stop()
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	for i, open := range made {
		restored := open()
		for _, stream := range streams {
			was, is := all(t, log, stream), all(t, restored, stream)
			if len(is) < before || len(is) > len(was) || !reflect.DeepEqual(was[:len(is)], is) {
				t.Errorf("copy %d: %s: %d records are not the beginning of %d", i, stream, len(is), len(was))
			}
			add(t, restored, stream, uint64(len(is)), "goes on", 1)
		}
	}
}
