// Package rulesvc answers RulesService: the season tables as they are, with the
// source of every rule.
package rulesvc

import (
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/kept"
	"github.com/rinktally/rinktally/server/tables"
)

// maxShown is how many seasons are kept as they are shown. Readers mostly ask for
// the current one.
const maxShown = 8

// Service implements RulesService over season tables. It keeps only how it shows
// the seasons that were asked for last.
type Service struct {
	tables *tables.Tables
	shown  *kept.Answers[*rules.Season, *pb.Season]
}

// New makes the service.
func New(t *tables.Tables) *Service {
	return &Service{tables: t, shown: kept.New[*rules.Season, *pb.Season](maxShown)}
}
