package rulesvc

import (
	"context"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
)

// ListSeasons lists the seasons that have a table, oldest first.
func (s *Service) ListSeasons(context.Context, *pb.ListSeasonsRequest) (*pb.ListSeasonsResponse, error) {
	today, warning := s.tables.Today()
	res := &pb.ListSeasonsResponse{Current: today.Season, Warnings: answer.Warnings(warning, nil)}
	for _, season := range s.tables.Catalog().Headings() {
		res.Seasons = append(res.Seasons, fromHeading(season))
	}
	return res, nil
}

// GetSeason shows one season's table. Answers share it, so nobody may change it.
func (s *Service) GetSeason(_ context.Context, req *pb.GetSeasonRequest) (*pb.GetSeasonResponse, error) {
	season, warning, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err != nil {
		return nil, errs.From(err, req)
	}
	// Thousands of rules are put together once for all callers.
	shown, _ := s.shown.Get(season, func() (*pb.Season, error) { return fromSeason(season), nil })
	return &pb.GetSeasonResponse{Season: shown, Warnings: answer.Warnings(warning, nil)}, nil
}
