package event_test

import (
	"strings"
	"testing"

	"github.com/rinktally/rinktally/server/event"
)

func TestRehearsalID(t *testing.T) {
	long := strings.Repeat("a-long-name-", 5)[:49]
	for of, begin := range map[string]string{
		"spring-cup": "spring-cup-rehearsal", long: long + "-rehearsal", long + "-2026": long[:40], long + "-2027": long[:40],
	} {
		got := event.RehearsalID(of)
		if !event.IsID(got) || !strings.HasPrefix(got, begin) || !strings.HasSuffix(got, event.RehearsalEnd) {
			t.Errorf("the rehearsal of %s has the id %s", of, got)
		}
	}
	if a, b := event.RehearsalID(long+"-2026"), event.RehearsalID(long+"-2027"); a == b {
		t.Errorf("two events have one rehearsal, %s", a)
	}
}
