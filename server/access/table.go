package access

import (
	"slices"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Need is what a method asks of its caller.
type Need struct {
	// Free methods touch no event. No token is looked at, so that they go on while
	// the store of tokens is away.
	Free bool
	// Open methods need nothing, but a token tells who the caller is.
	Open bool
	// Read methods need nothing, or any role of the event where its reading is
	// restricted.
	Read bool
	// Roles are those that may call the method. ADMIN stands for ORGANISER
	// everywhere and is not named beside it.
	Roles []pb.Role_Value
}

const (
	organiser = pb.Role_ORGANISER
	technical = pb.Role_TECHNICAL_PANEL
	judge     = pb.Role_JUDGE
	referee   = pb.Role_REFEREE
	announcer = pb.Role_ANNOUNCER
	admin     = pb.Role_ADMIN
)

func only(roles ...pb.Role_Value) Need { return Need{Roles: roles} }

var read = Need{Read: true}

// events says who may call what of EventService and ScoreboardService. A method
// that is not here is refused to everybody.
//
// The organiser can do what a volunteer at one laptop must do for everybody:
// enter calls and marks from paper. Confirming, signing and correcting is the
// referee's alone.
var events = map[string]Need{
	pb.EventService_CreateEvent_FullMethodName:       only(admin),
	pb.EventService_GetEvent_FullMethodName:          read,
	pb.EventService_GetCaller_FullMethodName:         read,
	pb.EventService_ListEvents_FullMethodName:        {Open: true}, // leaves restricted events out itself
	pb.EventService_UpdateEvent_FullMethodName:       only(organiser),
	pb.EventService_SetCategory_FullMethodName:       only(organiser),
	pb.EventService_RemoveCategory_FullMethodName:    only(organiser),
	pb.EventService_SetPanel_FullMethodName:          only(organiser, referee),
	pb.EventService_SetAbsentJudges_FullMethodName:   only(organiser, referee),
	pb.EventService_AddEntry_FullMethodName:          only(organiser),
	pb.EventService_UpdateEntry_FullMethodName:       only(organiser),
	pb.EventService_ListEntries_FullMethodName:       read,
	pb.EventService_ImportEntries_FullMethodName:     only(organiser),
	pb.EventService_ExportEntries_FullMethodName:     read,
	pb.EventService_WithdrawEntry_FullMethodName:     only(organiser, referee),
	pb.EventService_ReinstateEntry_FullMethodName:    only(organiser, referee),
	pb.EventService_DrawStartingOrder_FullMethodName: only(organiser, referee),

	pb.EventService_StartSegment_FullMethodName:      only(organiser, referee),
	pb.EventService_CallSkater_FullMethodName:        only(organiser, referee, technical, announcer),
	pb.EventService_CallElement_FullMethodName:       only(organiser, technical),
	pb.EventService_ReviseElement_FullMethodName:     only(organiser, technical),
	pb.EventService_RemoveElement_FullMethodName:     only(organiser, technical),
	pb.EventService_ReviewElement_FullMethodName:     only(organiser, technical),
	pb.EventService_EndProgram_FullMethodName:        only(organiser, referee, technical, announcer),
	pb.EventService_SetElementMarks_FullMethodName:   only(organiser, judge), // a judge only the own marks: Decide
	pb.EventService_SetComponentMarks_FullMethodName: only(organiser, judge),
	pb.EventService_SetDeductions_FullMethodName:     only(organiser, referee, technical),
	pb.EventService_ConfirmSkater_FullMethodName:     only(referee),
	pb.EventService_CorrectResult_FullMethodName:     only(referee),
	pb.EventService_PublishSegment_FullMethodName:    only(referee),

	pb.EventService_GetPerformance_FullMethodName:     read, // hides marks itself
	pb.EventService_GetSegmentStanding_FullMethodName: read,
	pb.EventService_GetFinalStanding_FullMethodName:   read,
	pb.EventService_GetDocument_FullMethodName:        read,
	pb.EventService_ListFacts_FullMethodName:          only(organiser, referee),
	pb.EventService_CreateToken_FullMethodName:        only(organiser),
	pb.EventService_ListTokens_FullMethodName:         only(organiser),
	pb.EventService_RevokeToken_FullMethodName:        only(organiser),

	pb.ScoreboardService_GetScoreboard_FullMethodName:   read,
	pb.ScoreboardService_WatchScoreboard_FullMethodName: read,
}

// NeedOf tells what a method asks of its caller. Methods of services that touch
// no event are free.
func NeedOf(method string) Need {
	if need, ok := events[method]; ok {
		return need
	}
	for _, service := range []string{pb.EventService_ServiceDesc.ServiceName, pb.ScoreboardService_ServiceDesc.ServiceName} {
		if strings.HasPrefix(method, "/"+service+"/") {
			return Need{} // nobody
		}
	}
	return Need{Free: true}
}

// allows tells whether a role may call the method.
func (n Need) allows(role pb.Role_Value) bool {
	switch {
	case n.Open:
		return true
	case n.Read:
		return role != pb.Role_ROLE_UNSPECIFIED
	case role == admin && slices.Contains(n.Roles, organiser):
		return true
	default:
		return slices.Contains(n.Roles, role)
	}
}
