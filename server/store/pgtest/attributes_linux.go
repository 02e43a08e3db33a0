package pgtest

import "syscall"

// attributes run a process as another user, and end it when the tests end in
// any way: SIGQUIT is what PostgreSQL takes as an order to stop at once.
func attributes(user *syscall.Credential) *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Credential: user, Pdeathsig: syscall.SIGQUIT}
}
