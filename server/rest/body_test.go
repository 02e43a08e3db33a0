package rest_test

import (
	"bufio"
	"fmt"
	"net"
	"net/http"
	"strings"
	"testing"
)

// A client that writes all of its body before it reads gets the answer, also where
// the body is more than the connection holds.
func TestTooLargeBodyIsAnswered(t *testing.T) {
	body := strings.Repeat(" ", 12<<20)
	for name, sent := range map[string]string{
		"of known length": fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(body), body),
		"in chunks":       fmt.Sprintf("Transfer-Encoding: chunked\r\n\r\n%x\r\n%s\r\n0\r\n\r\n", len(body), body),
	} {
		t.Run(name, func(t *testing.T) {
			conn, err := net.Dial("tcp", serve(t, nil).Listener.Addr().String())
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = conn.Close() }()
			if _, err := fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: rink\r\nContent-Type: application/json\r\n%s", scorePath, sent); err != nil {
				t.Fatal(err)
			}
			res, err := http.ReadResponse(bufio.NewReader(conn), nil)
			if err != nil {
				t.Fatal(err)
			}
			_ = res.Body.Close()
			if res.StatusCode != http.StatusRequestEntityTooLarge {
				t.Errorf("answered %s", res.Status)
			}
		})
	}
}
