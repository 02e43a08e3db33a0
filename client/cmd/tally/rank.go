package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (a *app) rankCommand() *cobra.Command {
	var season, category string
	cmd := &cobra.Command{
		Use:   "rank FILE|-",
		Short: "Places of each segment and of the result over all, with ties as the season breaks them",
		Long: `rank places competitors by their segment scores and adds them up to the result.
FILE holds them as JSON, as POST …/results:rank reads it; "-" reads it from
standard input:

  {"season": "2025-26", "category": "senior-women", "competitors": [
    {"id": "7", "segments": [
      {"segment": "short-program", "segmentScore": "62.83", "elementScore": "32.55", "componentScore": "30.28"},
      {"segment": "free-skating", "segmentScore": "120.10"}]},
    {"id": "8", "status": "WITHDRAWN"}]}

elementScore and componentScore are needed only where they break a tie.`,
		Example: "  tally rank --season 2025-26 result.json",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			data, err := a.readAll(args[0])
			if err != nil {
				return err
			}
			req := &pb.RankEventRequest{}
			if err := decode(data, req); err != nil {
				return usagef("%s: %w", args[0], err)
			}
			if req.GetSeason() == "" || cmd.Flags().Changed("season") {
				req.Season = season
			}
			if cmd.Flags().Changed("category") {
				req.Category = category
			}
			return ask(cmd.Context(), a, client.Authority.RankEvent, req, func(answer *pb.RankEventResponse) {
				a.printRules(answer.GetRules(), req.GetCategory())
				a.printRanking(answer)
			})
		},
	}
	cmd.Flags().StringVar(&season, "season", "current", "`SEASON` whose rules break ties, such as 2016-17")
	cmd.Flags().StringVar(&category, "category", "", "`CATEGORY` of the competitors, such as junior-men")
	return cmd
}

// printRanking prints the result: place, competitor, total, what broke a tie, and
// the place in each segment.
func (a *app) printRanking(answer *pb.RankEventResponse) {
	t := newTable([]any{"Place", "Competitor", "Total", "Tie broken by", "Segments"}, 1, 3)
	for _, c := range answer.GetCompetitors() {
		var segments []string
		for _, s := range c.GetSegments() {
			segments = append(segments, fmt.Sprintf("%s %s (%s)", s.GetSegment(), s.GetSegmentScore(), placed(s.GetPlace())))
		}
		tie := strings.ToLower(strings.ReplaceAll(c.GetTieBrokenBy(), "_", " "))
		if c.GetShared() {
			tie = "shared"
		}
		t.add(placed(c.GetPlace()), c.GetId(), c.GetTotalScore(), tie, strings.Join(segments, ", "))
	}
	a.printTable(t)
	a.printWarnings(answer.GetWarnings())
	fmt.Fprintln(a.out, "\nUnofficial until the event's referee signs.")
}

// placed writes a place; who withdrew or was disqualified has none.
func placed(place int32) string {
	if place == 0 {
		return "-"
	}
	return strconv.Itoa(int(place))
}
