package program

import (
	"context"

	spb "google.golang.org/genproto/googleapis/rpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/batch"
	"github.com/rinktally/rinktally/server/errs"
)

// BatchCheckPrograms checks many programs. A bad one is answered with its error.
func (s *Service) BatchCheckPrograms(ctx context.Context, req *pb.BatchCheckProgramsRequest) (*pb.BatchCheckProgramsResponse, error) {
	_, _, faults := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err := append(faults, batch.Count("programs", len(req.GetPrograms()))...).Err(); err != nil {
		return nil, errs.From(err, req)
	}
	results, err := batch.Each(ctx, req.GetPrograms(), func(i int, program *pb.CheckProgramRequest) (*pb.ProgramResult, error) {
		checked, err := s.CheckProgram(ctx, batch.Inherit(program, req))
		batch.Place("programs", i, checked.GetWarnings())
		batch.Place("programs", i, checked.GetCompared().GetWarnings())
		return &pb.ProgramResult{Result: &pb.ProgramResult_Program{Program: checked}}, err
	}, func(status *spb.Status) *pb.ProgramResult {
		return &pb.ProgramResult{Result: &pb.ProgramResult_Error{Error: status}}
	})
	if err != nil {
		return nil, err
	}
	return &pb.BatchCheckProgramsResponse{Results: results}, nil
}
