package answer

import (
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/value"
)

// Parts returns the value of each of an element's parts.
func Parts(v *value.Valued) []*pb.Part { return PartsIn(NewBlock[pb.Part](len(v.Parts())), v) }

// PartsIn returns the parts in messages of a block.
func PartsIn(block *Block[pb.Part], v *value.Valued) []*pb.Part {
	valued := v.Parts()
	codes := v.Element.Parts()
	out := block.Take(len(valued))
	for i, part := range out {
		part.Code = codes[i].Text
		if codes[i].NoValue {
			part.Code += "*"
		}
		part.BaseValue = Points(valued[i].Base())
	}
	return out
}

var factorKinds = [...]pb.FactorKind_Value{
	value.Sequence:   pb.FactorKind_SEQUENCE,
	value.Repeat:     pb.FactorKind_REPEAT,
	value.Combo:      pb.FactorKind_COMBINATION_INCOMPLETE,
	value.SecondHalf: pb.FactorKind_SECOND_HALF,
}

// Factors returns what an element's parts were multiplied by.
func Factors(v *value.Valued) []*pb.Factor {
	return FactorsIn(NewBlock[pb.Factor](len(v.Factors())), v)
}

// FactorsIn returns the factors in messages of a block.
func FactorsIn(block *Block[pb.Factor], v *value.Valued) []*pb.Factor {
	factors := v.Factors()
	out := block.Take(len(factors))
	for i, f := range factors {
		out[i].Kind, out[i].By = factorKinds[f.Kind], Points(f.By)
	}
	return out
}
