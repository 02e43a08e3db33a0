package pgtest

import (
	"errors"
	"os"
	"os/user"
	"strconv"
	"syscall"
)

// asOther lets the cluster run as the package's user, or as nobody, and gives
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
	return os.Chown(c.folder, int(uid), int(gid))
}
