package api

import (
	"errors"
	"fmt"

	logv1 "github.com/rinktally/rinktally/proto/rinktally/log/v1"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event"
	"github.com/rinktally/rinktally/server/tables"
)

// WarnRevisionChanged is the code of the warning that the server has another
// table of the season than the one that the event pins.
const WarnRevisionChanged rules.WarningCode = "REVISION_CHANGED"

// asked returns the season that a request names, and keeps its table: whatever is
// loaded later, the event goes on by this one.
func asked(seasons *tables.Archive, key, revision string) event.SeasonFunc {
	return func() (*rules.Season, error) {
		season, _, unknown := seasons.Tables().Season(key, revision)
		if len(unknown) > 0 {
			return nil, unknown
		}
		return season, seasons.Keep(season)
	}
}

// pinned returns the table that an event pins, or why it is not there.
func pinned(seasons *tables.Archive, data *logv1.EventData) (*rules.Season, error) {
	season, err := seasons.Season(data.GetSeason(), data.GetRevision())
	var missing rules.FieldError
	if errors.As(err, &missing) {
		return nil, errs.New(pb.ErrorReason_REVISION_MISMATCH,
			fmt.Sprintf("the event pins revision %s of season %s, which this server has neither loaded nor kept: start it with the table that the event began with",
				data.GetRevision(), data.GetSeason()),
			"season", data.GetSeason(), "pinned", data.GetRevision())
	}
	return season, err
}

// shownBy returns the table to read an event by. Without the pinned one it is the
// loaded one of the season, or an empty one, with a warning.
func shownBy(seasons *tables.Archive, data *logv1.EventData) (*rules.Season, *rules.Warning) {
	season, err := pinned(seasons, data)
	if err == nil {
		return season, nil
	}
	warning := &rules.Warning{
		Code:    WarnRevisionChanged,
		Message: "the server has not the table that the event pins: confirmed scores stay, but nothing more can be scored here",
	}
	loaded, _, unknown := seasons.Tables().Season(data.GetSeason(), "")
	if len(unknown) > 0 {
		return &rules.Season{}, warning
	}
	return loaded, warning
}
