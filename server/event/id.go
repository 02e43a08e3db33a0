package event

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
)

// IsID reports whether a text has the form of an event's id.
func IsID(id string) bool { return len(id) <= maxEventID && eventID.MatchString(id) }

// IDsFor returns the ids to try for a new event: the request's own, or those made
// from its name.
func IDsFor(req *pb.CreateEventRequest) ([]string, rules.FieldErrors) {
	const tries = 50
	if id := req.GetEvent(); id != "" {
		var faults rules.FieldErrors
		identifier(&faults, "event", id, eventID, minEventID, maxEventID, "small letters, digits and single hyphens, beginning with a letter")
		return []string{id}, faults
	}
	id := slug(req.GetName(), maxEventID-len("-50"))
	if len(id) < minEventID {
		id = "event-" + id
	}
	id = strings.Trim(id, "-")
	ids := []string{id}
	for n := 2; n <= tries; n++ {
		ids = append(ids, fmt.Sprintf("%s-%d", id, n))
	}
	return ids, nil
}

// slug makes an id from a name: "Spring Cup 2026" is spring-cup-2026.
func slug(name string, most int) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToLower(name)) {
		switch {
		case b.Len() >= most:
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9' && b.Len() > 0:
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r): // the accent of the letter before
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.Trim(b.String(), "-")
}

// RehearsalEnd is what the id of a rehearsal ends with.
const RehearsalEnd = "-rehearsal"

// RehearsalID returns an id for an event's rehearsal: the first to try, which a long id
// shares with others that begin like it, the second, and so on.
func RehearsalID(of string, try int) string {
	end := RehearsalEnd
	if try > 1 {
		end = fmt.Sprintf("-%d%s", try, RehearsalEnd)
	}
	return strings.TrimRight(of[:min(len(of), maxEventID-len(end))], "-") + end
}

// Exists says that an id is taken.
func Exists(id string) error {
	return refuse(pb.ErrorReason_EVENT_EXISTS, "there is an event "+rules.Quote(id)+" already", "event", id)
}
