package copies

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"go.uber.org/zap"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/event"
)

// folder holds the copies: a folder for each event, with a file for each answer and one
// about the copy, whose time is when the rink was heard last. A file that cannot be
// read is passed over: the rink sends its answer again. "" keeps nothing.
type folder string

const (
	aboutFile  = "copy.json"
	answerFile = ".answer"
	dirMode    = 0o700
	fileMode   = 0o600
)

// about is what is kept of a copy beside its answers.
type about struct {
	Owner    string `json:"owner"`
	Sequence uint64 `json:"sequence"`
}

// read reads all copies.
func (s *Store) read() error {
	if s.files == "" {
		return nil
	}
	list, err := os.ReadDir(string(s.files))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, entry := range list {
		if !event.IsID(entry.Name()) {
			continue
		}
		c, fault := s.files.read(entry.Name())
		if fault != nil {
			s.log.Warn("a copy cannot be read; it comes back when its rink sends it again", zap.String("event", entry.Name()), zap.Error(fault))
			continue
		}
		s.copies[entry.Name()] = c
	}
	return err
}

// read reads one copy.
func (f folder) read(name string) (*kept, error) {
	dir := filepath.Join(string(f), name)
	text, err := os.ReadFile(filepath.Join(dir, aboutFile))
	if err != nil {
		return nil, err
	}
	var of about
	if err := json.Unmarshal(text, &of); err != nil {
		return nil, err
	}
	info, err := os.Stat(filepath.Join(dir, aboutFile))
	if err != nil {
		return nil, err
	}
	c := &kept{owner: of.Owner, seq: of.Sequence, heard: info.ModTime(), answers: map[string]*pb.CopiedAnswer{}}
	files, err := filepath.Glob(filepath.Join(dir, "*"+answerFile))
	if err != nil {
		return nil, err
	}
	for _, file := range files {
		a := &pb.CopiedAnswer{}
		if data, err := os.ReadFile(file); err != nil || proto.Unmarshal(data, a) != nil || check(name, "", a) != nil {
			continue
		}
		c.put(a)
	}
	if c.board = c.scoreboard(name); c.board == nil {
		return nil, errors.New("it has no scoreboard")
	}
	return c, nil
}

// write writes the answers that have changed or are gone, by key, and what is said of
// the copy.
func (f folder) write(name string, c *kept, changed []string) error {
	if f == "" {
		return nil
	}
	dir := filepath.Join(string(f), name)
	if err := os.MkdirAll(dir, dirMode); err != nil {
		return err
	}
	for _, key := range changed {
		file := filepath.Join(dir, short([]byte(key))+answerFile)
		a := c.answers[key]
		if a == nil {
			if err := os.Remove(file); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
			continue
		}
		data, err := proto.Marshal(a)
		if err == nil {
			err = replace(file, data)
		}
		if err != nil {
			return err
		}
	}
	text, err := json.Marshal(about{c.owner, c.seq})
	if err == nil {
		err = replace(filepath.Join(dir, aboutFile), text)
	}
	return errors.Join(err, f.touch(name, c.heard))
}

// replace writes a file so that there is always the old one or the new one.
func replace(file string, data []byte) error {
	if err := os.WriteFile(file+".new", data, fileMode); err != nil {
		return err
	}
	return os.Rename(file+".new", file)
}

// touch keeps when a rink was heard.
func (f folder) touch(name string, heard time.Time) error {
	if f == "" {
		return nil
	}
	return os.Chtimes(filepath.Join(string(f), name, aboutFile), heard, heard)
}

// remove removes a copy.
func (f folder) remove(name string) error {
	if f == "" {
		return nil
	}
	if err := os.RemoveAll(filepath.Join(string(f), name)); err != nil {
		return fmt.Errorf("copy of %s: %w", name, err)
	}
	return nil
}
