// Package client asks a scoring server for levels, base values and totals, runs
// events on it and watches their scoreboards.
//
// # Connecting
//
// New does not block and does not dial; the first call does. Connections use
// TLS with the system's roots unless an option says otherwise: a server without TLS, such
// as one started on your own machine, needs WithPlaintext, and one that made its
// certificate for itself WithCAFile.
//
//	c, err := client.New("scoring.example.org:443")
//	c, err := client.New("localhost:7070", client.WithPlaintext())
//	defer c.Close()
//
// # Calls
//
// A Client has a method for each call of the contract, in three parts:
//
//   - Authority: seasons, levels, values, scores, programs, places. The same calls
//     without a server, computed in process with the tables that ship with this
//     module, are in package offline, so a program can have either:
//     var a client.Authority = c // or offline.New()
//   - Events: entries, starting orders, calls, marks, results, tokens.
//   - Scoreboards: what watchers of an event see, now and after every change.
//
// What changes an event needs a token: WithToken for all calls of a client,
// ContextWithToken for one of several desks.
//
// # Time
//
// A unary call whose context has no deadline gets one of 10 seconds
// (WithDefaultTimeout); it covers all attempts of the call. Streams have none.
//
// # Retries
//
// A call that failed with UNAVAILABLE is tried again where repeating is safe,
// which is every calculation and look-up, and what changes an event, since all
// attempts have one request id; only CreateToken is not. WithRetry sets how often and
// how long apart. A watch goes on by itself.
//
// # Errors
//
// Every call fails with an *Error: the status code, a stable reason, the fields
// at fault, and the request id that finds the call in the server's log.
//
//	if errors.Is(err, client.ErrReason(pb.ErrorReason_GOE_VALUE_UNKNOWN)) { … }
//
//	var e *client.Error
//	if errors.As(err, &e) {
//		for _, v := range e.Violations {
//			fmt.Println(v.Field, v.Message)
//		}
//	}
//
// # What the answers are
//
// Points are decimal strings with two digits. They are unofficial: a result is
// official when the event's referee signs it.
package client
