//go:build !linux

package pgtest

import "syscall"

// attributes run a process as another user.
func attributes(user *syscall.Credential) *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Credential: user}
}
