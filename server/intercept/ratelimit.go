package intercept

import (
	"context"
	"net"
	"net/netip"
	"slices"
	"strings"
	"sync"
	"time"

	"golang.org/x/time/rate"
	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
)

// maxCallers bounds how many callers are remembered; beyond it those that have
// been quiet are forgotten.
const maxCallers = 10_000

var scoreboardService = "/" + pb.ScoreboardService_ServiceDesc.ServiceName + "/"

// reads are the calls whose answers are long or take a while to make, and that
// anybody may make.
var reads = map[string]bool{
	pb.EventService_GetDocument_FullMethodName:     true,
	pb.EventService_ListEvents_FullMethodName:      true,
	pb.EventService_ListEntries_FullMethodName:     true,
	pb.EventService_ExportEntries_FullMethodName:   true,
	pb.ScoreboardService_ListPlaces_FullMethodName: true,
	pb.ProgramService_PlanProgram_FullMethodName:   true,
	pb.RulesService_GetSeason_FullMethodName:       true,
	pb.RulesService_ListElements_FullMethodName:    true,
	pb.RulesService_ExportElements_FullMethodName:  true,
	pb.RulesService_CompareSeasons_FullMethodName:  true,

	pb.ScoringService_BatchCallLevels_FullMethodName:    true,
	pb.ProgramService_BatchCheckPrograms_FullMethodName: true,
}

// Codes for a desk are short, so nobody may try many: each address a few, and all
// together no more in the quarter of an hour that a code holds than make one in a
// thousand million a risk. It is not for the operator to set.
const (
	codeRate       = 0.5 // a second, of each address
	codeBurst      = 20  // all desks of a hall can sit down at once
	codeEventRate  = 1   // a second, of each event
	codeEventBurst = 60
)

// Who reads too much waits for pause before the refusal, so that one who asks again
// at once takes no time from the panel; only so many wait at once.
const (
	pause      = 500 * time.Millisecond
	maxPausing = 1000
)

// Limits is how many calls a caller may make; the zero value is no limit.
type Limits struct {
	Rate      float64 // calls a second of each token, and of each address without one; 0 = unlimited
	Burst     int     // of those, what may come at once
	ReadRate  float64 // of each call that makes long answers, a second and address without a token; 0 = unlimited
	ReadBurst int     // of those, what may come at once
	// Proxies are the networks of the proxies in front, whose X-Forwarded-For is
	// believed. Other callers' addresses are those of their connections.
	Proxies []netip.Prefix
	Now     func() time.Time // nil = the system's clock
}

// Limiter lets each caller make so many calls a second: each token, and each address
// without one, so that what phones ask for from behind a hall's one address does not
// hold up the panel behind it. A stream counts as one call. Health checks are not
// counted, nor are scoreboards, which the whole hall watches.
type Limiter struct {
	all, reads *buckets // nil = no limit
	codes      *buckets // by address
	events     *buckets // for codes, by event
	proxies    []netip.Prefix
	now        func() time.Time
	pausing    chan struct{} // full while as many wait as may
}

// NewLimiter makes a limiter.
func NewLimiter(l Limits) *Limiter {
	if l.Now == nil {
		l.Now = time.Now
	}
	return &Limiter{
		all: newBuckets(l.Rate, l.Burst), reads: newBuckets(l.ReadRate, l.ReadBurst),
		codes: newBuckets(codeRate, codeBurst), events: newBuckets(codeEventRate, codeEventBurst),
		proxies: l.Proxies, now: l.Now, pausing: make(chan struct{}, maxPausing),
	}
}

// allow returns nil, or an error that says when to come again.
func (l *Limiter) allow(ctx context.Context, method string) error {
	if strings.HasPrefix(method, healthService) || strings.HasPrefix(method, scoreboardService) && !reads[method] {
		return nil
	}
	actor, now := access.From(ctx), l.now()
	if l.all != nil {
		who := "token " + actor.Event + "/" + actor.Token
		if actor.Token == "" {
			who = l.address(ctx)
		}
		if wait := l.all.take(who, now); wait > 0 {
			return errs.RateLimited(wait)
		}
	}
	if l.reads != nil && actor.Token == "" && reads[method] {
		// Each call by itself: papers in demand do not hold the pages up that ask for a
		// season.
		if wait := l.reads.take(method+" "+l.address(ctx), now); wait > 0 {
			l.rest(ctx)
			return errs.RateLimited(wait)
		}
	}
	return nil
}

// allowCode is allow for trying a code of an event.
func (l *Limiter) allowCode(ctx context.Context, event string) error {
	now := l.now()
	if wait := l.codes.take(l.address(ctx), now); wait > 0 {
		l.rest(ctx)
		return errs.RateLimited(wait)
	}
	if wait := l.events.take(event, now); wait > 0 {
		l.rest(ctx)
		return errs.RateLimited(wait)
	}
	return nil
}

// rest waits before a refusal.
func (l *Limiter) rest(ctx context.Context) {
	select {
	case l.pausing <- struct{}{}:
		defer func() { <-l.pausing }()
	default:
		return
	}
	over := time.NewTimer(pause)
	defer over.Stop()
	select {
	case <-over.C:
	case <-ctx.Done():
	}
}

// forwardedKey is the metadata key of X-Forwarded-For.
const forwardedKey = "x-forwarded-for"

// address returns where the caller is: the other end of the connection or, where that
// is a proxy of ours, who the proxy says it was.
func (l *Limiter) address(ctx context.Context) string {
	p, ok := peer.FromContext(ctx)
	if !ok || p.Addr == nil {
		return ""
	}
	at := host(p.Addr.String())
	if !l.isProxy(at) {
		return at
	}
	// Each proxy adds at the end whom it was called by; what stands before the last
	// one that is not ours, the caller may have made up.
	said := strings.Split(strings.Join(metadata.ValueFromIncomingContext(ctx, forwardedKey), ","), ",")
	for i := len(said) - 1; i >= 0 && l.isProxy(at); i-- {
		before := host(strings.TrimSpace(said[i]))
		if _, err := netip.ParseAddr(before); err != nil {
			break
		}
		at = before
	}
	return at
}

func (l *Limiter) isProxy(address string) bool {
	if len(l.proxies) == 0 {
		return false
	}
	ip, err := netip.ParseAddr(address)
	return err == nil && slices.ContainsFunc(l.proxies, func(n netip.Prefix) bool { return n.Contains(ip.Unmap()) })
}

// host returns an address without its port.
func host(address string) string {
	if h, _, err := net.SplitHostPort(address); err == nil {
		return h
	}
	return address
}

// buckets holds what each caller has left.
type buckets struct {
	rate  rate.Limit
	burst int

	mu      sync.Mutex
	callers map[string]*rate.Limiter
}

func newBuckets(perSecond float64, burst int) *buckets {
	if perSecond <= 0 {
		return nil
	}
	return &buckets{rate: rate.Limit(perSecond), burst: burst, callers: map[string]*rate.Limiter{}}
}

// take takes one call of a caller's, or returns how long it is until there is one.
func (b *buckets) take(who string, now time.Time) time.Duration {
	r := b.caller(who, now).ReserveN(now, 1)
	wait := r.DelayFrom(now)
	if wait > 0 {
		r.CancelAt(now)
	}
	return wait
}

func (b *buckets) caller(key string, now time.Time) *rate.Limiter {
	b.mu.Lock()
	defer b.mu.Unlock()
	c := b.callers[key]
	if c == nil {
		if len(b.callers) >= maxCallers {
			b.forget(now)
		}
		c = rate.NewLimiter(b.rate, b.burst)
		b.callers[key] = c
	}
	return c
}

// forget drops callers whose bucket is full again, for whom nothing is lost, and
// all of them when that makes no room.
func (b *buckets) forget(now time.Time) {
	for key, c := range b.callers {
		if c.TokensAt(now) >= float64(b.burst) {
			delete(b.callers, key)
		}
	}
	if len(b.callers) >= maxCallers {
		clear(b.callers)
	}
}

func (l *Limiter) unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	if err := l.allow(ctx, info.FullMethod); err != nil {
		return nil, err
	}
	if seat, ok := req.(*pb.TakeSeatRequest); ok {
		if err := l.allowCode(ctx, seat.GetEvent()); err != nil {
			return nil, err
		}
	}
	return handler(ctx, req)
}

func (l *Limiter) stream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	if err := l.allow(stream.Context(), info.FullMethod); err != nil {
		return err
	}
	return handler(srv, stream)
}
