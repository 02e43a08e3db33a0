// Package rulesvc answers RulesService: the season tables as they are, with the
// source of every rule.
package rulesvc

import (
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/tables"
)

// Service implements RulesService over season tables. It keeps nothing.
type Service struct {
	pb.UnimplementedRulesServiceServer

	tables *tables.Tables
}

// New makes the service.
func New(t *tables.Tables) *Service { return &Service{tables: t} }
