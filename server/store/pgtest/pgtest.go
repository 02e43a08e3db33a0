// Package pgtest starts a PostgreSQL of its own for tests: a throw-away cluster
// in a temporary folder, reached through a socket in it and by nobody else. It
// uses the programs of the Debian package; deploy/test/install.sh installs it.
package pgtest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
)

// Cluster is a running PostgreSQL.
type Cluster struct {
	programs string // folder of initdb, postgres, pg_dump …
	folder   string
	user     *syscall.Credential // nil: the one who runs the tests

	mu        sync.Mutex
	databases int
	running   *server
}

// starting is how long PostgreSQL may take to start, after a crash too.
const starting = 60 * time.Second

// superuser of the cluster, who needs no password.
const superuser = "rinktally"

// New makes a cluster and starts it. Where PostgreSQL is not installed, the
// error says what to do.
func New() (*Cluster, error) {
	c := &Cluster{}
	var err error
	if c.programs, err = find(); err != nil {
		return nil, err
	}
	if c.folder, err = os.MkdirTemp("", "rinktally-pg-"); err != nil {
		return nil, err
	}
	if err = c.start(); err != nil {
		return nil, errors.Join(err, c.Close())
	}
	return c, nil
}

func (c *Cluster) start() error {
	if os.Getuid() == 0 { // PostgreSQL refuses to run as root
		if err := c.asOther(); err != nil {
			return err
		}
	}
	if out, err := c.Command("initdb", "--pgdata", c.Data(), "--username", superuser, "--auth=trust",
		"--encoding=UTF8", "--locale=C.UTF-8", "--no-sync").CombinedOutput(); err != nil {
		return fmt.Errorf("initdb: %w\n%s", err, out)
	}
	return c.Start()
}

// Close stops the cluster and removes its folder.
func (c *Cluster) Close() error {
	return errors.Join(c.Stop(syscall.SIGQUIT), os.RemoveAll(c.folder))
}

// find returns the folder of the newest PostgreSQL's programs.
func find() (string, error) {
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/postgres")
	if err != nil {
		return "", err
	}
	version := func(path string) int {
		n, err := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(path))))
		if err != nil {
			return 0
		}
		return n
	}
	if len(found) > 0 {
		newest := slices.MaxFunc(found, func(a, b string) int { return version(a) - version(b) })
		return filepath.Dir(newest), nil
	}
	if path, err := exec.LookPath("postgres"); err == nil { // not Debian
		return filepath.Dir(path), nil
	}
	return "", errors.New("PostgreSQL is not installed: run deploy/test/install.sh, or apt-get install postgresql")
}

// Command returns one of PostgreSQL's programs, run as the owner of the cluster.
func (c *Cluster) Command(program string, arguments ...string) *exec.Cmd {
	//nolint:gosec,noctx // PostgreSQL's own programs: short ones, and a server that ends by signal
	cmd := exec.Command(filepath.Join(c.programs, program), arguments...)
	cmd.Dir = c.folder
	cmd.Env = append(os.Environ(), "LC_ALL=C.UTF-8", "PGOPTIONS=")
	cmd.SysProcAttr = attributes(c.user)
	return cmd
}

// Data is the folder of the cluster's files.
func (c *Cluster) Data() string { return filepath.Join(c.folder, "data") }

// Database makes an empty database and returns its URL.
func (c *Cluster) Database(ctx context.Context) (string, error) {
	c.mu.Lock()
	c.databases++
	name := fmt.Sprintf("test%d", c.databases)
	c.mu.Unlock()
	admin, err := pgx.Connect(ctx, c.URL("postgres"))
	if err != nil {
		return "", err
	}
	_, err = admin.Exec(ctx, "CREATE DATABASE "+name)
	return c.URL(name), errors.Join(err, admin.Close(ctx))
}

// URL returns the address of a database of the cluster.
func (c *Cluster) URL(database string) string {
	return fmt.Sprintf("postgres://%s@/%s?host=%s", superuser, database, url.QueryEscape(c.folder))
}

// server is one run of the server's process.
type server struct {
	cmd    *exec.Cmd
	ready  chan struct{} // closed when it accepts connections
	exited chan struct{} // closed when it has ended

	mu  sync.Mutex
	log bytes.Buffer
}

// Write takes the server's log and looks for the line that says it is ready.
func (s *server) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.log.Write(p)
	if bytes.Contains(s.log.Bytes(), []byte("ready to accept connections")) {
		select {
		case <-s.ready:
		default:
			close(s.ready)
		}
	}
	const most = 64 << 10
	if extra := s.log.Len() - most; extra > 0 {
		s.log.Next(extra)
	}
	return len(p), nil
}

func (s *server) said() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.log.String()
}

// Start starts the cluster and waits until it accepts connections.
func (c *Cluster) Start() error {
	deadline := time.After(starting)
	for {
		s, err := c.run()
		if err != nil {
			return err
		}
		select {
		case <-s.ready:
			c.mu.Lock()
			c.running = s
			c.mu.Unlock()
			return nil
		case <-s.exited:
			// After a kill the processes that are still ending hold the memory.
			if said := s.said(); !strings.Contains(said, "in use") && !strings.Contains(said, "lock file") {
				return fmt.Errorf("PostgreSQL does not start:\n%s", said)
			}
		case <-deadline:
			_ = s.cmd.Process.Kill()
			<-s.exited
			return fmt.Errorf("PostgreSQL is not ready after %v:\n%s", starting, s.said())
		}
	}
}

func (c *Cluster) run() (*server, error) {
	s := &server{ready: make(chan struct{}), exited: make(chan struct{})}
	s.cmd = c.Command("postgres", "-D", c.Data(), "-k", c.folder, "-c", "listen_addresses=", "-c", "max_connections=200")
	s.cmd.Stderr = s
	started := make(chan error)
	go func() {
		// The server dies with this thread, so the thread must live as long as the
		// tests; see attributes.
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		err := s.cmd.Start()
		started <- err
		if err == nil {
			_ = s.cmd.Wait() // it ends by a signal
			close(s.exited)
		}
	}()
	return s, <-started
}

// Stop ends the cluster by a signal and waits: SIGINT tells the connected to go,
// SIGQUIT leaves everything as it is. Stopping what does not run does nothing.
func (c *Cluster) Stop(signal syscall.Signal) error {
	c.mu.Lock()
	s := c.running
	c.running = nil
	c.mu.Unlock()
	if s == nil {
		return nil
	}
	err := s.cmd.Process.Signal(signal)
	<-s.exited
	return err
}

// Kill ends all processes of the cluster at once, as losing the machine does,
// except that what was written stays written.
func (c *Cluster) Kill() error {
	c.mu.Lock()
	s := c.running
	c.mu.Unlock()
	if s == nil {
		return nil
	}
	// First the one that would clean up after the others.
	children, err := s.children()
	if err != nil {
		return err
	}
	if err := c.Stop(syscall.SIGKILL); err != nil {
		return err
	}
	for _, child := range children {
		_ = syscall.Kill(child, syscall.SIGKILL) // it may have ended by itself
	}
	return nil
}

// Freeze halts all processes of the running cluster: it takes connections and
// answers nobody, until thaw.
func (c *Cluster) Freeze() (thaw func(), err error) {
	c.mu.Lock()
	s := c.running
	c.mu.Unlock()
	// First the one that would start others.
	frozen := []int{s.cmd.Process.Pid}
	thaw = func() {
		for _, pid := range frozen {
			_ = syscall.Kill(pid, syscall.SIGCONT)
		}
	}
	if err := s.cmd.Process.Signal(syscall.SIGSTOP); err != nil {
		return thaw, err
	}
	children, err := s.children()
	for _, child := range children {
		_ = syscall.Kill(child, syscall.SIGSTOP) // it may have ended by itself
	}
	frozen = append(frozen, children...)
	return thaw, err
}

// children returns the processes that the server has started.
func (s *server) children() ([]int, error) {
	pid := s.cmd.Process.Pid
	list, err := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", pid, pid))
	if err != nil {
		return nil, err
	}
	var pids []int
	for _, text := range strings.Fields(string(list)) {
		child, err := strconv.Atoi(text)
		if err != nil {
			return nil, err
		}
		pids = append(pids, child)
	}
	return pids, nil
}

// Restart stops by a signal and starts again.
func (c *Cluster) Restart(signal syscall.Signal) error {
	stop := func() error { return c.Stop(signal) }
	if signal == syscall.SIGKILL {
		stop = c.Kill
	}
	if err := stop(); err != nil {
		return err
	}
	return c.Start()
}
