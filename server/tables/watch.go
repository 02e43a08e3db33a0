package tables

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"
)

// Watch reloads the tables when a file of a layer from outside the program has
// changed, and whenever ask says so, until the context ends. At each tick it
// compares names, sizes and times of all files; a change is loaded once two
// ticks have seen it the same, and only if it is still the same when it has been
// read, so that what somebody is writing is not taken half. done hears how each
// reload went.
func (t *Tables) Watch(ctx context.Context, tick <-chan time.Time, ask <-chan os.Signal, done func(error)) {
	loaded, seen := t.fingerprint(), ""
	for {
		select {
		case <-ctx.Done():
			return
		case <-ask:
			loaded = t.fingerprint()
			done(t.Reload())
		case <-tick:
			now := t.fingerprint()
			if now != loaded && now == seen {
				err := t.reload(func() bool { return t.fingerprint() == now })
				if !errors.Is(err, errWriting) { // else a later tick sees it at rest
					loaded = now
					done(err)
				}
			}
			seen = now
		}
	}
}

// fingerprint tells the files of the outside layers apart from any later state
// of theirs.
func (t *Tables) fingerprint() string {
	h := sha256.New()
	for _, layer := range t.layers {
		err := fs.WalkDir(layer.FS, ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			info, err := d.Info()
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(h, "%s %d %d\n", name, info.Size(), info.ModTime().UnixNano())
			return err
		})
		if err != nil {
			fmt.Fprintf(h, "%v\n", err)
		}
	}
	return string(h.Sum(nil))
}
