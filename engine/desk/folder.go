package desk

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"firstrod/engine"
)

// Folder is the safety manager's folder as a source of rules.
type Folder string

// Read gives what lies there now.
func (f Folder) Read(context.Context) (Candidate, error) { return Read(string(f)) }

// Kept gives the files of the newest publication as they were published, so
// that a restart does not meet what somebody is in the middle of changing.
func (f Folder) Kept(context.Context) (Candidate, error) { return newest(string(f)) }

// Keep does nothing: Publish has kept a copy.
func (f Folder) Keep(context.Context, Candidate) error { return nil }

// Read reads a folder at one moment, and says whether its files are those that
// were published last. An error means that the folder cannot be read, or holds
// what can be no rule.
func Read(dir string) (Candidate, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return Candidate{}, unreadable("the folder "+dir, err)
	}
	defer root.Close()
	w := &walk{fsys: root.FS()}
	if err := w.run(); err != nil {
		return Candidate{}, err
	}
	c, err := newCandidate(w.shelf.sorted(), dir)
	if err != nil {
		return Candidate{}, err
	}
	c.compare(w.publication)
	return c, nil
}

// newest is the publication that publication.json names, from its copy.
func newest(dir string) (Candidate, error) {
	raw, err := readFile(filepath.Join(dir, publicationName))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Candidate{}, absent("nothing has been published in "+dir, "firstrod rules publish", err)
	case err != nil:
		return Candidate{}, unreadable(publicationName, err)
	}
	p, err := parsePublication(raw)
	if err != nil {
		return Candidate{}, err
	}
	c, err := Kept(dir, p.Serial)
	if err == nil && !c.Publication.Same(p) {
		return Candidate{}, refuse("the copy of publication %d is another than %s names", p.Serial, publicationName)
	}
	return c, err
}

// compare sets what was published, and whether the files are that.
func (c *Candidate) compare(raw []byte) {
	if raw == nil {
		c.Unpublished = "nothing has been published in " + c.From
		return
	}
	p, err := parsePublication(raw)
	if err != nil {
		c.Unpublished, _ = inWords(err)
		return
	}
	c.Publication = p
	if c.Published = p.Sum == c.Sum; !c.Published {
		c.Unpublished = "the files in " + c.From + " were changed and not published"
	}
}

// walk reads the files of a folder.
type walk struct {
	fsys        fs.FS
	shelf       shelf
	publication []byte // nil where there is none
	faults      []Fault
}

func (w *walk) run() error {
	if err := fs.WalkDir(w.fsys, ".", w.visit); err != nil {
		return err
	}
	raw, err := readAll(w.fsys, publicationName)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return unreadable(publicationName, err)
	default:
		w.publication = raw
	}
	return refused(w.faults)
}

func (w *walk) visit(name string, d fs.DirEntry, err error) error {
	switch {
	case err != nil:
		return unreadable(name, err)
	case name == ".":
		return nil
	case strings.HasPrefix(path.Base(name), "."):
		if d.IsDir() {
			return fs.SkipDir
		}
		return nil
	case name == schemasName && d.IsDir():
		return fs.SkipDir
	case d.IsDir():
		if !strings.Contains(name, "/") && name != "base" && name != "local" {
			w.fault(name, "this folder is neither base nor local, so nobody would read what is in it")
			return fs.SkipDir
		}
		return nil
	case beside(name):
		return nil
	case d.Type()&fs.ModeSymlink != 0:
		w.fault(name, "this is a link to another place; rules are plain files only")
		return nil
	case !d.Type().IsRegular():
		w.fault(name, "this is not a plain file")
		return nil
	}
	return w.take(name)
}

// beside is a file that lies beside the packs and is no part of them.
func beside(name string) bool {
	dir, base := path.Split(name)
	return dir == "" && path.Ext(base) != ".rego" || dir == "local/" && strings.HasSuffix(base, ".survivors.yaml")
}

func (w *walk) take(name string) error {
	if say := misplaced(name); say != "" {
		w.fault(name, say)
		return nil
	}
	data, err := readAll(w.fsys, name)
	if err != nil {
		return unreadable(name, err)
	}
	if say := w.shelf.add(name, data); say != "" {
		w.fault(name, say)
		return refused(w.faults) // a bound is reached; there may be no end to it
	}
	return nil
}

func (w *walk) fault(name, say string) {
	w.faults = append(w.faults, Fault{File: shown(name), Say: say})
}

// readAll reads a file up to one byte beyond the bound.
func readAll(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, MaxFile+1))
}

// absent is the error for a publication or a file that is not there.
func absent(say, hint string, err error) error {
	return &engine.Error{Kind: engine.NotFound, Say: say, Hint: hint, Err: err}
}
