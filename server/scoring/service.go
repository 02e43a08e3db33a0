// Package scoring answers ScoringService: levels, base values and totals. The
// calculation itself is in rules; here requests become its input and its
// results become answers.
package scoring

import (
	"github.com/rinktally/rinktally/server/tables"
)

// Service implements ScoringService over season tables. It keeps nothing.
type Service struct {
	tables *tables.Tables
}

// New makes the service.
func New(t *tables.Tables) *Service { return &Service{tables: t} }
