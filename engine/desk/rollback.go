package desk

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"time"

	"firstrod/engine"
)

// Earlier is the serial that a rollback goes to where none is named: the newest
// before the present one that has other files.
func Earlier(dir string) (int64, error) {
	now, err := newest(dir)
	if err != nil {
		return 0, err
	}
	all, err := Serials(dir)
	if err != nil {
		return 0, err
	}
	for _, n := range slices.Backward(all) {
		if n >= now.Publication.Serial {
			continue
		}
		if c, err := Kept(dir, n); err == nil && c.Sum != now.Sum {
			return n, nil
		}
	}
	return 0, absent(fmt.Sprintf("there is nothing before publication %d to go back to", now.Publication.Serial), "", nil)
}

// Rollback puts the files of an earlier publication back into dir and publishes
// them under the next serial, from by, for the reason why. What lay there and was
// not published is kept in .published/unpublished-SUM.zip. It gives the new
// publication.
func Rollback(dir string, serial int64, by, why string, at time.Time) (Publication, error) {
	c, err := Kept(dir, serial)
	if err != nil {
		return Publication{}, err
	}
	next, err := Next(dir)
	if err != nil {
		return Publication{}, err
	}
	p := Publication{next, c.Sum, by, why, at.UTC().Truncate(time.Second), serial}
	if err := p.check(); err != nil {
		return Publication{}, err
	}
	if err := Lay(dir, c); err != nil {
		return Publication{}, err
	}
	return p, Publish(dir, p)
}

// Lay makes the files of dir those of c, and publishes nothing: until that is
// done nobody uses them. Unpublished files that lay there are kept first.
func Lay(dir string, c Candidate) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return unwritten(dir, err)
	}
	have, err := Read(dir)
	if err != nil {
		return err
	}
	if !have.Published && have.Sum != c.Sum && len(have.files) > 0 {
		if err := setAside(dir, have); err != nil {
			return err
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return unwritten(dir, err)
	}
	defer root.Close()
	if err := c.write(root, have.files); err != nil {
		return unwritten(dir, err)
	}
	return nil
}

// setAside keeps files that were never published; the same files are kept once.
func setAside(dir string, c Candidate) error {
	blob, err := c.Archive()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Join(dir, history), 0o755); err != nil {
		return unwritten(history, err)
	}
	err = create(filepath.Join(dir, history, "unpublished-"+c.Sum[:16]+".zip"), blob)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	return err
}

// write makes a folder that holds the files have hold those of c.
func (c Candidate) write(root *os.Root, have []file) error {
	want := map[string][]byte{}
	for _, f := range c.files {
		want[f.path] = f.data
	}
	for _, f := range have {
		data, ok := want[f.path]
		switch {
		case !ok:
			if err := root.Remove(f.path); err != nil {
				return err
			}
			prune(root, path.Dir(f.path))
		case bytes.Equal(data, f.data):
			delete(want, f.path)
		}
	}
	for _, f := range c.files {
		if _, ok := want[f.path]; !ok {
			continue
		}
		if err := root.MkdirAll(path.Dir(f.path), 0o755); err != nil {
			return err
		}
		if err := root.WriteFile(f.path, f.data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// prune takes away folders that have become empty; one that has not is left.
func prune(root *os.Root, dir string) {
	for dir != "." && root.Remove(dir) == nil {
		dir = path.Dir(dir)
	}
}

// Import takes a candidate that came from elsewhere into dir, with the
// publication it has there. It must follow the one in dir. False means that dir
// has it already.
func Import(dir string, c Candidate) (bool, error) {
	if !c.Published {
		return false, &engine.Error{Kind: engine.Rules, Say: c.From + " was never published"}
	}
	next, err := Next(dir)
	if err != nil {
		return false, err
	}
	if serial := c.Publication.Serial; serial < next {
		have, err := Kept(dir, serial)
		if err == nil && serial == next-1 && have.Publication.Same(c.Publication) {
			return false, settled(dir)
		}
		return false, older("publication %d is not newer than %d, which %s has had", serial, next-1, dir)
	}
	if err := Lay(dir, c); err != nil {
		return false, err
	}
	return true, Publish(dir, c.Publication)
}

// settled is nil where a folder is as it was published.
func settled(dir string) error {
	have, err := Read(dir)
	if err != nil || have.Published {
		return err
	}
	return &engine.Error{
		Kind: engine.Conflict, Say: have.Unpublished, Hint: "firstrod rules rollback puts published files back",
	}
}
