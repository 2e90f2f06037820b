package desk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"firstrod/engine"
)

// history is where a folder keeps the bytes of each publication.
const history = ".published"

// Publish names the files in dir, whose sum must be p.Sum, as publication
// p.Serial, which must be higher than all before it: see [Next]. It keeps a copy
// of the files, then writes publication.json as the last thing and all at once,
// so that a reader meets the old publication or the new one. Two who publish at
// the same time do not get the same serial; the second is refused.
func Publish(dir string, p Publication) error {
	if err := p.check(); err != nil {
		return err
	}
	c, err := Read(dir)
	if err != nil {
		return err
	}
	if c.Sum != p.Sum {
		return &engine.Error{
			Kind: engine.Conflict, Say: "the files in " + dir + " changed while they were being looked at", Hint: "publish again",
		}
	}
	next, err := Next(dir)
	if err != nil {
		return err
	}
	if p.Serial < next {
		return older("publication %d is not newer than %d, which there is", p.Serial, next-1)
	}
	raw, err := p.encode()
	if err != nil {
		return err
	}
	if err := keepCopy(dir, p.Serial, c.files, raw); err != nil {
		return err
	}
	return Replace(filepath.Join(dir, publicationName), raw)
}

// keepCopy writes the copy of a publication, and fails where there is one.
func keepCopy(dir string, serial int64, files []file, publication []byte) error {
	blob, err := pack(append(slices.Clone(files), file{publicationName, publication}))
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Join(dir, history), 0o755); err != nil {
		return unwritten(history, err)
	}
	err = create(copyOf(dir, serial), blob)
	if errors.Is(err, fs.ErrExist) {
		return &engine.Error{
			Kind: engine.Conflict, Say: fmt.Sprintf("somebody else has just published as %d", serial), Hint: "look at what it is, then publish again", Err: err,
		}
	}
	return err
}

func copyOf(dir string, serial int64) string {
	return filepath.Join(dir, history, strconv.FormatInt(serial, 10)+".zip")
}

// Kept is a publication of dir as it was published, from its copy.
func Kept(dir string, serial int64) (Candidate, error) {
	name := copyOf(dir, serial)
	blob, err := readFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return Candidate{}, absent(fmt.Sprintf("there is no copy of publication %d", serial), "copies are in "+filepath.Join(dir, history), err)
	}
	if err != nil {
		return Candidate{}, unreadable(name, err)
	}
	files, others, err := unpack(blob, publicationName)
	if err != nil {
		return Candidate{}, err
	}
	c, err := newCandidate(files, name)
	if err != nil {
		return Candidate{}, err
	}
	if c.compare(others[publicationName]); !c.Published || c.Publication.Serial != serial {
		return Candidate{}, refuse("the copy of publication %d is not what was published", serial)
	}
	return c, nil
}

// Serials lists the publications that dir has copies of, rising.
func Serials(dir string) ([]int64, error) {
	entries, err := os.ReadDir(filepath.Join(dir, history))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, unreadable(history, err)
	}
	var all []int64
	for _, e := range entries {
		stem, zip := strings.CutSuffix(e.Name(), ".zip")
		if n, err := strconv.ParseInt(stem, 10, 64); zip && err == nil && n > 0 && strconv.FormatInt(n, 10) == stem {
			all = append(all, n)
		}
	}
	slices.Sort(all)
	return all, nil
}

// Next is the serial of the publication that comes next in dir.
func Next(dir string) (int64, error) {
	all, err := Serials(dir)
	if err != nil {
		return 0, err
	}
	newest := int64(0)
	if len(all) > 0 {
		newest = all[len(all)-1]
	}
	raw, err := readFile(filepath.Join(dir, publicationName))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return newest + 1, nil
	case err != nil:
		return 0, unreadable(publicationName, err)
	}
	p, err := parsePublication(raw)
	if err != nil {
		return 0, err // without it nobody knows how far the serials have got
	}
	return max(newest, p.Serial) + 1, nil
}
