package main

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/level"
)

var notationHelp = `A spin in words:

  [ENTRY ...:] POSITION [, POSITION]... [/ [CHANGE] POSITION ...] [; exit]

  ENTRY     flying, difficult-flying, step-over; entrance (a difficult one),
            backward (a plain one, in the seasons that counted it)
  /         the change of foot, by a step; CHANGE: jump, curves (between two
            spins), reverse (other direction)
  POSITION  camel, sit, upright, layback or other, then in any order
            a difficult variation the panel accepts:
              camel: forward, sideways, upward    sit: forward, sideways, behind
              upright: forward, straight, biellmann
              layback, other: variation
            layback leaning to the side: sideways
            the revolutions: 8 or 2.5
            what else was accepted:
` + featureHelp() + `  exit      a difficult exit`

// featureHelp explains the words for what else was accepted in a position.
func featureHelp() string {
	var text strings.Builder
	for _, w := range level.PositionWords() {
		fmt.Fprintf(&text, "              %-12s %s\n", w.Word, strings.ToLower(w.Title))
	}
	return text.String()
}

var entryWords = map[string]func(*pb.Spin){
	"flying":           func(s *pb.Spin) { s.Flying = pb.Flying_PLAIN },
	"difficult-flying": func(s *pb.Spin) { s.Flying = pb.Flying_DIFFICULT },
	"step-over":        func(s *pb.Spin) { s.Flying = pb.Flying_STEP_OVER },
	"backward":         func(s *pb.Spin) { s.BackwardEntry = true },
	"entrance":         func(s *pb.Spin) { s.DifficultEntrance = true },
}

var changeWords = map[string]func(*pb.SpinFoot){
	"jump":    func(f *pb.SpinFoot) { f.Change = pb.FootChange_JUMP },
	"curves":  func(f *pb.SpinFoot) { f.Change = pb.FootChange_CURVES },
	"reverse": func(f *pb.SpinFoot) { f.DirectionReversed = true },
}

var positionWords = map[string]pb.Position_Value{
	"camel": pb.Position_CAMEL, "sit": pb.Position_SIT, "upright": pb.Position_UPRIGHT,
	"layback": pb.Position_LAYBACK, "other": pb.Position_NON_BASIC,
}

var variationWords = map[pb.Position_Value]map[string]pb.Variation_Value{
	pb.Position_CAMEL: {
		"forward": pb.Variation_CAMEL_FORWARD, "sideways": pb.Variation_CAMEL_SIDEWAYS, "upward": pb.Variation_CAMEL_UPWARD,
	},
	pb.Position_SIT: {
		"forward": pb.Variation_SIT_FORWARD, "sideways": pb.Variation_SIT_SIDEWAYS, "behind": pb.Variation_SIT_BEHIND,
	},
	pb.Position_UPRIGHT: {
		"forward": pb.Variation_UPRIGHT_FORWARD, "straight": pb.Variation_UPRIGHT_STRAIGHT_OR_SIDEWAYS,
		"biellmann": pb.Variation_BIELLMANN,
	},
	pb.Position_LAYBACK:   {"variation": pb.Variation_LAYBACK},
	pb.Position_NON_BASIC: {"variation": pb.Variation_NON_BASIC},
}

var featureWords = func() map[string]pb.PositionFeature_Value {
	words := map[string]pb.PositionFeature_Value{}
	for _, w := range level.PositionWords() {
		words[w.Word] = pb.PositionFeature_Value(pb.PositionFeature_Value_value[string(w.Report)])
	}
	return words
}()

// parseSpin reads a spin in words, as notationHelp describes it.
func parseSpin(text string) (*pb.Spin, error) {
	spin := &pb.Spin{}
	body, exit, hasExit := strings.Cut(strings.ToLower(text), ";")
	if hasExit {
		if strings.TrimSpace(exit) != "exit" {
			return nil, fmt.Errorf(`after ";" stands %q: only "exit" may`, strings.TrimSpace(exit))
		}
		spin.DifficultExit = true
	}
	if entry, rest, has := strings.Cut(body, ":"); has {
		body = rest
		for _, word := range strings.Fields(entry) {
			set := entryWords[word]
			if set == nil {
				return nil, fmt.Errorf("%q is no entry: %s", word, anyOf(entryWords))
			}
			set(spin)
		}
	}
	for i, part := range strings.Split(body, "/") {
		foot, err := parseFoot(part, i > 0)
		if err != nil {
			return nil, fmt.Errorf("foot %d: %w", i+1, err)
		}
		spin.Feet = append(spin.Feet, foot)
	}
	return spin, nil
}

func parseFoot(text string, changed bool) (*pb.SpinFoot, error) {
	foot := &pb.SpinFoot{}
	if changed {
		foot.Change = pb.FootChange_STEP
		for {
			word, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
			set := changeWords[word]
			if set == nil {
				break
			}
			set(foot)
			text = rest
		}
	}
	for i, part := range strings.Split(text, ",") {
		p, err := parsePosition(strings.Fields(part))
		if err != nil {
			return nil, fmt.Errorf("position %d: %w", i+1, err)
		}
		foot.Positions = append(foot.Positions, p)
	}
	return foot, nil
}

func parsePosition(fields []string) (*pb.SpinPosition, error) {
	if len(fields) == 0 {
		return nil, fmt.Errorf("is empty: start with %s", anyOf(positionWords))
	}
	kind, ok := positionWords[fields[0]]
	if !ok {
		return nil, fmt.Errorf("%q is no position: %s", fields[0], anyOf(positionWords))
	}
	p := &pb.SpinPosition{Position: kind}
	if kind == pb.Position_LAYBACK {
		p.Lean = pb.Lean_BACKWARD
	}
	counted := false
	for _, word := range fields[1:] {
		revolutions, err := strconv.ParseFloat(word, 64)
		variation, isVariation := variationWords[kind][word]
		feature, isFeature := featureWords[word]
		switch {
		case err == nil && counted:
			return nil, fmt.Errorf("the revolutions stand twice: %q", word)
		case err == nil:
			p.Revolutions, counted = revolutions, true
		case isVariation && p.GetVariation() != pb.Variation_VARIATION_UNSPECIFIED:
			return nil, fmt.Errorf("%q is a second variation: one position has one", word)
		case isVariation:
			p.Variation = variation
		case kind == pb.Position_LAYBACK && word == "sideways":
			p.Lean = pb.Lean_SIDEWAYS
		case isFeature:
			p.Features = append(p.Features, feature)
		default:
			return nil, fmt.Errorf("%q is not known with %s: a number of revolutions, %s, %s",
				word, fields[0], anyOf(variationWords[kind]), anyOf(featureWords))
		}
	}
	if !counted {
		return nil, fmt.Errorf("%s has no number of revolutions: %s 8", fields[0], strings.Join(fields, " "))
	}
	return p, nil
}

func anyOf[V any](words map[string]V) string {
	return strings.Join(slices.Sorted(maps.Keys(words)), ", ")
}
