package intercept

import (
	"context"
	"net"
	"strings"
	"sync"
	"time"

	"golang.org/x/time/rate"
	"google.golang.org/grpc"
	"google.golang.org/grpc/peer"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
)

// maxCallers bounds how many callers are remembered; beyond it those that have
// been quiet are forgotten.
const maxCallers = 10_000

var scoreboardService = "/" + pb.ScoreboardService_ServiceDesc.ServiceName + "/"

// Limiter lets each caller make so many calls a second: each token, and each address
// without one, so that what phones ask for from behind a hall's one address does not
// hold up the panel behind it. A stream counts as one call. Health checks are not
// counted, nor are scoreboards, which the whole hall watches.
type Limiter struct {
	rate  rate.Limit
	burst int
	now   func() time.Time

	mu      sync.Mutex
	callers map[string]*rate.Limiter
}

// NewLimiter makes a limiter; it gives nil, which is no limit, for a rate of 0.
func NewLimiter(perSecond float64, burst int, now func() time.Time) *Limiter {
	if perSecond <= 0 {
		return nil
	}
	if now == nil {
		now = time.Now
	}
	return &Limiter{rate: rate.Limit(perSecond), burst: burst, now: now, callers: map[string]*rate.Limiter{}}
}

// allow gives nil, or an error that says when to come again.
func (l *Limiter) allow(ctx context.Context, method string) error {
	if strings.HasPrefix(method, healthService) || strings.HasPrefix(method, scoreboardService) {
		return nil
	}
	now := l.now()
	r := l.caller(whose(ctx), now).ReserveN(now, 1)
	if wait := r.DelayFrom(now); wait > 0 {
		r.CancelAt(now)
		return errs.RateLimited(wait)
	}
	return nil
}

func (l *Limiter) caller(key string, now time.Time) *rate.Limiter {
	l.mu.Lock()
	defer l.mu.Unlock()
	c := l.callers[key]
	if c == nil {
		if len(l.callers) >= maxCallers {
			l.forget(now)
		}
		c = rate.NewLimiter(l.rate, l.burst)
		l.callers[key] = c
	}
	return c
}

// forget drops callers whose bucket is full again, for whom nothing is lost, and
// all of them when that makes no room.
func (l *Limiter) forget(now time.Time) {
	for key, c := range l.callers {
		if c.TokensAt(now) >= float64(l.burst) {
			delete(l.callers, key)
		}
	}
	if len(l.callers) >= maxCallers {
		clear(l.callers)
	}
}

// whose names the caller: by its token, which was checked before, or its address.
func whose(ctx context.Context) string {
	if a := access.From(ctx); a.Token != "" {
		return "token " + a.Event + "/" + a.Token
	}
	p, ok := peer.FromContext(ctx)
	if !ok || p.Addr == nil {
		return ""
	}
	host, _, err := net.SplitHostPort(p.Addr.String())
	if err != nil {
		return p.Addr.String()
	}
	return host
}

func (l *Limiter) unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	if err := l.allow(ctx, info.FullMethod); err != nil {
		return nil, err
	}
	return handler(ctx, req)
}

func (l *Limiter) stream(srv any, stream grpc.ServerStream, info *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	if err := l.allow(stream.Context(), info.FullMethod); err != nil {
		return err
	}
	return handler(srv, stream)
}
