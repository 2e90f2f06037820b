package rules

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"firstrod/engine"
)

// Bounds on what is read. A real pack has about a hundred files of 3 KB.
const (
	maxFiles = 2000
	maxFile  = 1 << 20
	maxPack  = 16 << 20
)

const (
	paramsYAML = "params.yaml"
	paramsJSON = "params.json"
	testSuffix = "_test"
)

// name is how areas, checks, asks and limits are called.
const name = `[a-z][a-z0-9]*(?:_[a-z0-9]+)*`

var ruleFile = regexp.MustCompile(`^` + name + `/` + name + `\.rego$`)

// file is one file of a pack with its exact bytes.
type file struct {
	path string
	data []byte
}

// pack is everything that was read, sorted by path.
type pack struct {
	files  []file
	checks []file
	tests  []file
	yaml   []byte // params.yaml
	json   []byte // params.json
}

// IDs lists the check ids of a pack by its file names, sorted: the ids of the
// embedded base are pinned with it, so that a pack from disk cannot lose one.
func IDs(fsys fs.FS) ([]string, error) {
	p, err := readPack(fsys)
	if err != nil {
		return nil, err
	}
	ids := make([]string, len(p.checks))
	for i, f := range p.checks {
		ids[i] = idOf(f.path)
	}
	slices.Sort(ids)
	return ids, nil
}

// idOf is the id that the place of a file stands for.
func idOf(file string) string {
	return strings.ReplaceAll(strings.TrimSuffix(file, ".rego"), "/", ".")
}

// fileOf is the place of the check of an id.
func fileOf(id string) string { return strings.Replace(id, ".", "/", 1) + ".rego" }

// readPack reads all files and refuses what does not belong there.
func readPack(fsys fs.FS) (*pack, error) {
	p, fs := &pack{}, &faults{}
	if err := p.walk(fsys, fs); err != nil {
		return nil, err
	}
	slices.SortFunc(p.files, func(a, b file) int { return strings.Compare(a.path, b.path) })
	p.sort(fs)
	return p, fs.err()
}

func (p *pack) walk(fsys fs.FS, out *faults) error {
	size := 0
	err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return unreadable(name, err)
		case d.IsDir():
			return nil
		case d.Type()&fs.ModeSymlink != 0:
			out.add(name, 0, "this is a link to another place; a pack holds plain files only")
			return nil
		case !d.Type().IsRegular():
			out.add(name, 0, "this is not a plain file")
			return nil
		case len(p.files) == maxFiles:
			return refuse("", 0, "the pack has more than %d files", maxFiles)
		}
		data, err := readFile(fsys, name)
		if err != nil {
			return err
		}
		if size += len(data); size > maxPack {
			return refuse("", 0, "the pack is larger than %d MiB", maxPack>>20)
		}
		p.files = append(p.files, file{name, data})
		return nil
	})
	return err
}

func readFile(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, unreadable(name, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err != nil {
		return nil, unreadable(name, err)
	}
	if len(data) > maxFile {
		return nil, refuse(name, 0, "this file is larger than %d MiB", maxFile>>20)
	}
	return data, nil
}

func unreadable(name string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return &engine.Error{Kind: engine.Rules, Say: fmt.Sprintf("%s: there is no such file or folder", name), Err: err}
	}
	return &engine.Error{Kind: engine.Rules, Say: fmt.Sprintf("%s: this cannot be read", name), Err: err}
}

// sort says of each file what it is.
func (p *pack) sort(out *faults) {
	for _, f := range p.files {
		stem := strings.TrimSuffix(path.Base(f.path), ".rego")
		switch {
		case f.path == paramsYAML:
			p.yaml = f.data
		case f.path == paramsJSON:
			p.json = f.data
		case !ruleFile.MatchString(f.path):
			out.add(f.path, 0, "this file does not belong in a pack; rules are AREA/CHECK.rego with lower-case names")
		case strings.HasSuffix(stem, testSuffix):
			p.tests = append(p.tests, f)
		default:
			p.checks = append(p.checks, f)
		}
	}
	p.whole(out)
}

// whole refuses a pack that lacks a part of itself.
func (p *pack) whole(out *faults) {
	if len(p.checks) == 0 {
		out.add("", 0, "the pack has no rules in it; without rules nothing may be released")
	}
	if p.yaml == nil {
		out.add(paramsYAML, 0, "this file is missing; it holds the limits")
	}
	if p.json == nil {
		out.add(paramsJSON, 0, "this file is missing; it is made from %s", paramsYAML)
	}
	have := map[string]bool{}
	for _, f := range p.checks {
		have[f.path] = true
	}
	for _, f := range p.tests {
		if check := strings.TrimSuffix(f.path, testSuffix+".rego") + ".rego"; !have[check] {
			out.add(f.path, 0, "this tests %s, which is not there", check)
		}
	}
}
