package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"google.golang.org/grpc/status"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/rulesvc"
	"github.com/rinktally/rinktally/server/tables"
)

// maxShown bounds how many changes of one kind are named.
const maxShown = 12

// printChanges says in a few lines what each table of a folder changes in the
// season that it extends, so that its writer sees what was not meant.
func printChanges(ctx context.Context, out io.Writer, t *tables.Tables, dir string) error {
	for _, s := range t.Catalog().Seasons() {
		key := s.Params.Season
		if _, err := os.Stat(filepath.Join(dir, key)); err != nil || s.Extends == "" {
			continue
		}
		base, err := t.Catalog().Season(s.Extends)
		if err != nil {
			return err
		}
		diff, err := rulesvc.New(t).CompareSeasons(ctx, &pb.CompareSeasonsRequest{From: s.Extends, To: key})
		if err != nil {
			return errors.New(status.Convert(err).Message())
		}
		fmt.Fprintf(out, "%s (%s) over %s:\n", key, s.Title, s.Extends)
		var added, removed, changed, categories []string
		for _, e := range diff.GetAdded() {
			added = append(added, e.GetCode()+" "+e.GetBaseValue())
		}
		for _, e := range diff.GetRemoved() {
			removed = append(removed, e.GetCode())
		}
		for _, c := range diff.GetChanged() {
			changed = append(changed, fmt.Sprintf("%s %s -> %s", c.GetCode(), c.GetFrom(), c.GetTo()))
		}
		for _, category := range rules.SortedKeys(s.Categories) {
			if base.Categories[category] == nil {
				categories = append(categories, category)
			}
		}
		printList(out, "new elements", added)
		printList(out, "changed base values", changed)
		printList(out, "no longer valued", removed)
		for _, d := range rules.Disciplines {
			if len(removed) > 0 && s.Table(d) != nil && base.Table(d) != nil && s.Values[d] == "" {
				fmt.Fprintf(out, "  values: {%s: extend} would keep the values of %s\n", d, s.Extends)
			}
		}
		printList(out, "new categories", categories)
		if n := len(diff.GetRuleChanges()); n > 0 {
			fmt.Fprintf(out, "  %s: rinktally rules diff --rules %s %s %s\n", rules.Count(n, "changed rule"), dir, s.Extends, key)
		}
		if s.ValidFrom != "" {
			fmt.Fprintf(out, "  \"current\" means this table from %s to %s\n", s.ValidFrom, s.ValidTo)
		}
		printDoubts(out, filepath.Join(dir, key), s, base)
	}
	return nil
}

func printList(out io.Writer, title string, items []string) {
	if len(items) == 0 {
		return
	}
	more := ""
	if n := len(items) - maxShown; n > 0 {
		items, more = items[:maxShown], fmt.Sprintf(" and %d more", n)
	}
	fmt.Fprintf(out, "  %s: %s%s\n", title, strings.Join(items, ", "), more)
}

// printDoubts warns of base values above the highest one of the season that a table
// extends, where most often a decimal point was lost, and of elements of its own
// whose kind nothing states.
func printDoubts(out io.Writer, folder string, s, base *rules.Season) {
	for _, d := range rules.Disciplines {
		own, from := s.Table(d), base.Table(d)
		if own == nil || from == nil {
			continue
		}
		highest := &rules.Value{}
		for _, code := range from.Codes() {
			for _, row := range from.Rows(code) {
				if row.Base > highest.Base {
					highest = row
				}
			}
		}
		for _, code := range own.Codes() {
			if rows := own.Rows(code); len(from.Rows(code)) == 0 && kindless(rows[0]) {
				fmt.Fprintf(out, "warning: %s/%s.csv: %s has no kind; say what it is if it is to earn the bonus of the second half by itself: %s\n",
					folder, d, code, strings.Join(element.KindNames()[1:], ", "))
			}
			for _, row := range own.Rows(code) {
				if row.Base > highest.Base && !row.Derived {
					fmt.Fprintf(out, "warning: %s/%s.csv: %s is worth %v, more than any element of season %s (%s %v); is a decimal point missing?\n",
						folder, d, code, row.Base, base.Params.Season, highest.Code, highest.Base)
				}
			}
		}
	}
}

// kindless reports whether neither a row nor its code says what the element is.
func kindless(row *rules.Value) bool {
	e, err := element.Parse(row.Code)
	return err == nil && len(e.Parts()) == 1 && value.KindOf(e.Kind(), row) == element.Other
}
