package main

import (
	"context"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
)

// completeWithin limits how long a person waits at the keyboard for a server.
const completeWithin = 2 * time.Second

// complete sets what a shell offers behind the flags of a command that name a
// season, a category, a segment or a discipline.
func (a *app) complete(cmd *cobra.Command) {
	disciplines := make([]string, len(rules.Disciplines))
	for i, d := range rules.Disciplines {
		disciplines[i] = string(d)
	}
	for flag, offer := range map[string]cobra.CompletionFunc{
		"season": a.offer(seasonKeys), "from": a.offer(seasonKeys), "to": a.offer(seasonKeys),
		"category": a.offer(categoryKeys), "segment": a.offer(segmentKeys),
		"discipline": cobra.FixedCompletions(disciplines, cobra.ShellCompDirectiveNoFileComp),
	} {
		if cmd.Flags().Lookup(flag) == nil {
			continue
		}
		if err := cmd.RegisterFlagCompletionFunc(flag, offer); err != nil {
			panic(err) // a flag that is registered twice
		}
	}
}

// offer asks the tables here, or the server, for the words that a shell offers.
func (a *app) offer(words func(context.Context, client.Authority, *cobra.Command) ([]string, error)) cobra.CompletionFunc {
	return func(cmd *cobra.Command, _ []string, _ string) ([]string, cobra.ShellCompDirective) {
		authority, release, err := a.connect()
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		defer release()
		ctx, cancel := context.WithTimeout(cmd.Context(), completeWithin)
		defer cancel()
		list, err := words(ctx, authority, cmd)
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		return list, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	}
}

func seasonKeys(ctx context.Context, authority client.Authority, _ *cobra.Command) ([]string, error) {
	answer, err := authority.ListSeasons(ctx, &pb.ListSeasonsRequest{})
	keys := []string{"current"}
	for _, s := range answer.GetSeasons() {
		keys = append(keys, s.GetSeason()+"\t"+s.GetTitle())
	}
	return keys, err
}

// categories returns those of the season that the command line names so far.
func categories(ctx context.Context, authority client.Authority, cmd *cobra.Command) ([]*pb.Category, error) {
	season := "current"
	if f := cmd.Flags().Lookup("season"); f != nil && f.Value.String() != "" {
		season = f.Value.String()
	}
	answer, err := authority.GetSeason(ctx, &pb.GetSeasonRequest{Season: season})
	return answer.GetSeason().GetCategories(), err
}

func categoryKeys(ctx context.Context, authority client.Authority, cmd *cobra.Command) ([]string, error) {
	var keys []string
	all, err := categories(ctx, authority, cmd)
	for _, c := range all {
		keys = append(keys, c.GetCategory()+"\t"+c.GetTitle())
	}
	return keys, err
}

// segmentKeys returns the segments of the category that the command line names, or
// of all categories.
func segmentKeys(ctx context.Context, authority client.Authority, cmd *cobra.Command) ([]string, error) {
	var keys []string
	all, err := categories(ctx, authority, cmd)
	category := cmd.Flags().Lookup("category")
	for _, c := range all {
		if category.Changed && category.Value.String() != c.GetCategory() {
			continue
		}
		for _, s := range c.GetSegments() {
			if key := s.GetSegment(); !slices.Contains(keys, key) {
				keys = append(keys, key)
			}
		}
	}
	return keys, err
}

// firstArguments offers words for the first arguments of a command and nothing
// behind them.
func firstArguments(n int, offer cobra.CompletionFunc) cobra.CompletionFunc {
	return func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		if len(args) >= n {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return offer(cmd, args, begun)
	}
}
