package browser

import (
	"strings"
	"testing"

	"github.com/rinktally/rinktally/integration/built"
)

// NewProgram is NewServer with the built program in a process of its own. Its Stop is
// kill -9: the program does nothing any more.
func NewProgram(t testing.TB) *Server {
	t.Helper()
	p := built.New(t)
	s := &Server{t: t}
	c := &s.config
	c.GRPCAddr, c.HTTPAddr, c.Data = "127.0.0.1:0", "127.0.0.1:0", t.TempDir()
	s.AdminToken = p.Admin(t, "--data", c.Data)
	s.start = func() func() {
		of := p.Serve(t, "--grpc-addr", c.GRPCAddr, "--http-addr", c.HTTPAddr, "--data", c.Data)
		c.GRPCAddr, c.HTTPAddr, s.URL = of.GRPC, strings.TrimPrefix(of.HTTP, "http://"), of.HTTP
		return of.Kill
	}
	s.Start()
	t.Cleanup(s.Stop)
	return s
}
