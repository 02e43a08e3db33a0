package answer

import (
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/kept"
)

// maxSeasons is how many encoded seasons are kept in each form; one is up to 1 MB.
const maxSeasons = 8

// Seasons keeps the encoded answers of GetSeason, in one form. The season in them is
// shared between calls, so the answer follows from which one it is and the warnings.
type Seasons struct {
	kept *kept.Answers[shownSeason, []byte]
}

type shownSeason struct {
	season   *pb.Season
	warnings string
}

// NewSeasons makes an empty store.
func NewSeasons() *Seasons { return &Seasons{kept.New[shownSeason, []byte](maxSeasons)} }

// Encoded returns an answer as encode makes it. Callers share the bytes and must not
// change them.
func (s *Seasons) Encoded(res *pb.GetSeasonResponse, encode func() ([]byte, error)) ([]byte, error) {
	warnings, err := proto.MarshalOptions{Deterministic: true}.Marshal(&pb.GetSeasonResponse{Warnings: res.GetWarnings()})
	if err != nil {
		return nil, err
	}
	return s.kept.Get(shownSeason{res.GetSeason(), string(warnings)}, encode)
}
