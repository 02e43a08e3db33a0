package pgtest

import (
	"errors"
	"os"
	"os/user"
	"strconv"
	"syscall"
)

// asOther lets the cluster run as the package's user, or as nobody, and returns
// the folder to it.
func (c *Cluster) asOther() error {
	owner, err := user.Lookup("postgres")
	if err != nil {
		owner, err = user.Lookup("nobody")
	}
	if err != nil {
		return err
	}
	uid, uidErr := strconv.ParseUint(owner.Uid, 10, 32)
	gid, gidErr := strconv.ParseUint(owner.Gid, 10, 32)
	if err := errors.Join(uidErr, gidErr); err != nil {
		return err
	}
	c.user = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	return c.Own(c.folder)
}

// Own makes a file or folder belong to the user that the cluster runs as.
func (c *Cluster) Own(path string) error {
	if c.user == nil {
		return nil
	}
	return os.Chown(path, int(c.user.Uid), int(c.user.Gid))
}
