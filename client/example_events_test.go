package client_test

import (
	"context"
	"errors"
	"fmt"
	"log"
	"sync"
	"time"

	"github.com/spf13/pflag"
	"go.uber.org/zap"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
)

// rink starts a server for the examples, which keeps nothing, and returns its address
// and the administrator's token.
var rink = sync.OnceValues(func() (addr, admin string) {
	var c config.Config
	c.Register(pflag.NewFlagSet("examples", pflag.ContinueOnError))
	c.GRPCAddr, c.HTTPAddr, c.Data = "127.0.0.1:0", "127.0.0.1:0", ""
	server, err := app.New(context.Background(), c, app.Options{Version: "test", Log: zap.NewNop(), Clock: time.Now})
	if err != nil {
		log.Fatal(err)
	}
	if admin, err = server.FirstAdminToken(context.Background()); err != nil {
		log.Fatal(err)
	}
	go func() { log.Fatal(server.Run(context.Background())) }()
	return server.GRPCAddr(), admin
})

// An organiser's program sets up an event and makes a token for a judge's tablet.
func ExampleEvents() {
	addr, admin := rink()
	c, err := client.New(addr, client.WithPlaintext(), client.WithToken(admin))
	if err != nil {
		log.Fatal(err)
	}
	defer c.Close()

	ctx := context.Background()
	made, err := c.CreateEvent(ctx, &pb.CreateEventRequest{
		Name: "Spring Cup 2026", StartDate: "2026-03-14", Season: "2025-26",
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	event := made.GetEvent().GetEvent()
	fmt.Println(event)
	if _, err := c.SetPanel(ctx, &pb.SetPanelRequest{Event: event, Panel: &pb.EventPanel{Judges: 3}}); err != nil {
		fmt.Println(err)
		return
	}
	tablet, err := c.CreateToken(ctx, &pb.CreateTokenRequest{Event: event, Role: pb.Role_JUDGE, Judge: 2, Label: "tablet 2"})
	if err != nil {
		fmt.Println(err)
		return
	}

	// A call under another token than the client's.
	judge := client.ContextWithToken(ctx, tablet.GetToken())
	caller, err := c.GetCaller(judge, &pb.GetCallerRequest{Event: event})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(caller.GetRole(), caller.GetJudge())

	// What a judge may not do is refused with a reason.
	_, err = c.StartSegment(judge, &pb.StartSegmentRequest{Event: event, Category: "senior-women", Segment: "short-program"})
	fmt.Println(errors.Is(err, client.ErrReason(pb.ErrorReason_PERMISSION_DENIED)))
	// Output:
	// spring-cup-2026
	// JUDGE 2
	// true
}

// A display shows every board until its context ends, and says when it may be out of
// date.
func ExampleClient_WatchScoreboard() {
	addr, admin := rink()
	c, err := client.New(addr, client.WithPlaintext(), client.WithToken(admin))
	if err != nil {
		log.Fatal(err)
	}
	defer c.Close()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	_, err = c.CreateEvent(ctx, &pb.CreateEventRequest{Event: "autumn-cup", Name: "Autumn Cup", StartDate: "2026-10-03", Season: "2025-26"})
	if err != nil {
		fmt.Println(err)
		return
	}

	request := &pb.WatchScoreboardRequest{Event: "autumn-cup"}
	connection := client.OnConnection(func(err error) {
		if err != nil {
			fmt.Println("not connected:", err)
		}
	})
	for board, err := range c.WatchScoreboard(ctx, request, connection) {
		if errors.Is(err, context.Canceled) {
			fmt.Println("closed")
			break
		}
		if err != nil {
			fmt.Println(err)
			break
		}
		fmt.Println(board.GetName())
		cancel() // as when the display is closed
	}
	// Output:
	// Autumn Cup
	// closed
}
