package client

import (
	"context"
	"errors"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// mostReadings is how often AllPlaces begins. Places change with a confirmation, every
// few minutes, and reading takes much less.
const mostReadings = 10

// AllPlaces implements Scoreboards.
func (c *Client) AllPlaces(ctx context.Context, event string) (*pb.ListPlacesResponse, error) {
	for reading := 1; ; reading++ {
		all, err := c.places(ctx, event)
		changed := errors.Is(err, ErrReason(pb.ErrorReason_PAGE_TOKEN_INVALID))
		if !changed || reading == mostReadings {
			return all, err
		}
	}
}

// places returns all pages as one.
func (c *Client) places(ctx context.Context, event string) (*pb.ListPlacesResponse, error) {
	const pageSize = 500
	all := &pb.ListPlacesResponse{}
	for req := (&pb.ListPlacesRequest{Event: event, PageSize: pageSize}); ; req.PageToken = all.GetNextPageToken() {
		page, err := c.ListPlaces(ctx, req)
		if err != nil {
			return nil, err
		}
		if standing, final := page.GetStanding(), page.GetFinalStanding(); standing != nil {
			standing.Places = append(all.GetStanding().GetPlaces(), standing.GetPlaces()...)
			final.Places = append(all.GetFinalStanding().GetPlaces(), final.GetPlaces()...)
			standing.TotalPlaces, standing.PlacesTag, final.TotalPlaces, final.PlacesTag = nil, nil, nil, nil
		}
		if all = page; all.GetNextPageToken() == "" {
			return all, nil
		}
	}
}
