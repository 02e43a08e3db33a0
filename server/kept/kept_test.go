package kept_test

import (
	"errors"
	"sync"
	"testing"

	"github.com/rinktally/rinktally/server/kept"
)

func TestACrowdHasItMadeOnce(t *testing.T) {
	a := kept.New[string, int](2)
	made := 0
	get := func(key string) int {
		v, err := a.Get(key, func() (int, error) { made++; return made, nil })
		if err != nil {
			t.Error(err)
		}
		return v
	}
	var crowd sync.WaitGroup
	for range 100 {
		crowd.Go(func() {
			if get("a") != 1 {
				t.Error("made again")
			}
		})
	}
	crowd.Wait()
	get("b")
	if made != 2 || get("a") != 1 {
		t.Errorf("made %d times for two keys", made)
	}
	get("c") // more than are kept
	if get("c") != 3 || get("a") != 4 {
		t.Error("what went first is still there")
	}
}

func TestAFaultIsNotKept(t *testing.T) {
	a := kept.New[string, int](1)
	fault := errors.New("fault")
	if _, err := a.Get("a", func() (int, error) { return 0, fault }); !errors.Is(err, fault) {
		t.Error(err)
	}
	if v, err := a.Get("a", func() (int, error) { return 7, nil }); v != 7 || err != nil {
		t.Errorf("%d, %v", v, err)
	}
}
