package witness

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"syscall"

	"golang.org/x/mod/sumdb/note"

	"firstrod/engine/ledger"
)

// Errors of Open.
var (
	ErrNoState = errors.New("the witness's state is not there")
	ErrState   = errors.New("the witness's state is damaged, or is not that of these logs")
	ErrInUse   = errors.New("another witness is using this state")
)

// State is what a witness remembers: the latest checkpoint of each log. It is one
// file, which one process holds at a time.
type State struct {
	path string
	lock *os.File

	mu   sync.Mutex
	last map[string]string // origin -> the latest checkpoint it cosigned, as the log signed it
}

// Open opens the state in a file. A state that is not there is an error unless the
// witness is new: one that forgot what it saw would vouch for another history.
func Open(path string, isNew bool) (*State, error) {
	lock, err := os.OpenFile(path+".lock", os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, err
	}
	if err := syscall.Flock(int(lock.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		lock.Close()
		return nil, ErrInUse
	}
	s := &State{path: path, lock: lock, last: map[string]string{}}
	raw, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && isNew:
		err = s.write(s.last)
	case errors.Is(err, fs.ErrNotExist):
		err = ErrNoState
	case err == nil && isNew:
		err = fmt.Errorf("%w: there is one already, and this witness is said to be new", ErrState)
	case err == nil:
		if jerr := json.Unmarshal(raw, &s.last); jerr != nil || s.last == nil {
			err = ErrState
		}
	}
	if err != nil {
		lock.Close()
		return nil, err
	}
	return s, nil
}

// Close lets go of the file.
func (s *State) Close() error { return s.lock.Close() }

// latest is the latest checkpoint of a log; the zero one if there was none.
func (s *State) latest(origin string, keys []note.Verifier) (ledger.Checkpoint, error) {
	msg, ok := s.last[origin]
	if !ok {
		return ledger.Checkpoint{Origin: origin}, nil
	}
	c, _, _, err := open([]byte(msg), keys...)
	if err != nil || c.Origin != origin {
		return c, fmt.Errorf("%w: %s", ErrState, origin)
	}
	return c, nil
}

// put remembers a checkpoint, before anybody is told.
func (s *State) put(origin string, msg []byte) error {
	next := map[string]string{origin: string(msg)}
	for o, m := range s.last {
		if o != origin {
			next[o] = m
		}
	}
	if err := s.write(next); err != nil {
		return err
	}
	s.last = next
	return nil
}

// write replaces the file: it is always the old one or the new one, whole.
func (s *State) write(last map[string]string) error {
	raw, err := json.MarshalIndent(last, "", "  ")
	if err != nil {
		return err
	}
	dir := filepath.Dir(s.path)
	tmp, err := os.CreateTemp(dir, filepath.Base(s.path)+".new-")
	if err != nil {
		return err
	}
	_, err = tmp.Write(append(raw, '\n'))
	err = errors.Join(err, tmp.Sync(), tmp.Close())
	if err == nil {
		err = os.Rename(tmp.Name(), s.path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(tmp.Name()))
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
