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
	paramsYAML  = "params.yaml"
	paramsJSON  = "params.json"
	overlayYAML = "overlay.yaml" // of a local pack
	retiredYAML = "retired.yaml" // of the base
	oneCallCSV  = "one_call.csv" // of the base
	schemasRego = "schemas.rego" // of the base
	testSuffix  = "_test"
)

// name is how areas, checks, asks and limits are called.
const name = `[a-z][a-z0-9]*(?:_[a-z0-9]+)*`

var ruleFile = regexp.MustCompile(`^` + name + `/` + name + `\.rego$`)

// file is one file of a pack with its exact bytes.
type file struct {
	path string // with the folder of its pack in front, where there is one
	data []byte
}

// pack is everything that was read, sorted by path.
type pack struct {
	dir     string // in front of the paths of its files, "local/va/" or ""
	local   bool
	files   []file
	checks  []file
	tests   []file
	yaml    []byte // params.yaml
	json    []byte // params.json
	overlay []byte
	retired []byte
	oneCall []byte
	schemas []byte
}

// IDs lists the check ids of a pack by its file names, sorted: the ids of the
// embedded base are pinned with it, so that a pack from disk cannot lose one.
func IDs(fsys fs.FS) ([]string, error) {
	p, err := readPack(fsys, "", false)
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

// idOf is the id that the place of a file stands for: its last folder and its
// name, in whatever pack it lies.
func idOf(file string) string {
	area := path.Base(path.Dir(file))
	return area + "." + strings.TrimSuffix(path.Base(file), ".rego")
}

// fileOf is the place of the check of an id.
func fileOf(id string) string { return strings.Replace(id, ".", "/", 1) + ".rego" }

// readPack reads all files and refuses what does not belong there. Dir is put in
// front of their paths.
func readPack(fsys fs.FS, dir string, local bool) (*pack, error) {
	p, fs := &pack{dir: dir, local: local}, &faults{}
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
			return unreadable(p.dir+name, err)
		case d.IsDir():
			return nil
		case d.Type()&fs.ModeSymlink != 0:
			out.add(p.dir+name, 0, "this is a link to another place; a pack holds plain files only")
			return nil
		case !d.Type().IsRegular():
			out.add(p.dir+name, 0, "this is not a plain file")
			return nil
		case len(p.files) == maxFiles:
			return refuse(p.place(), 0, "the pack has more than %d files", maxFiles)
		}
		data, err := readFile(fsys, name, p.dir)
		if err != nil {
			return err
		}
		if size += len(data); size > maxPack {
			return refuse(p.place(), 0, "the pack is larger than %d MiB", maxPack>>20)
		}
		f := file{p.dir + name, data}
		encoded(f, out)
		p.files = append(p.files, f)
		return nil
	})
	return err
}

// place is the folder as a place in faults.
func (p *pack) place() string { return strings.TrimSuffix(p.dir, "/") }

func readFile(fsys fs.FS, name, dir string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, unreadable(dir+name, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err != nil {
		return nil, unreadable(dir+name, err)
	}
	if len(data) > maxFile {
		return nil, refuse(dir+name, 0, "this file is larger than %d MiB", maxFile>>20)
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
		rel := strings.TrimPrefix(f.path, p.dir)
		if own := p.data(rel); own != nil {
			*own = f.data
			continue
		}
		switch {
		case !ruleFile.MatchString(rel):
			out.add(f.path, 0, "this file does not belong in a pack; rules are AREA/CHECK.rego with lower-case names")
		case strings.HasSuffix(rel, testSuffix+".rego"):
			p.tests = append(p.tests, f)
		default:
			p.checks = append(p.checks, f)
		}
	}
	p.whole(out)
}

// data is where a file that is no rule is kept, or nil.
func (p *pack) data(rel string) *[]byte {
	switch {
	case rel == paramsYAML:
		return &p.yaml
	case rel == paramsJSON:
		return &p.json
	case rel == overlayYAML && p.local:
		return &p.overlay
	case rel == retiredYAML && !p.local:
		return &p.retired
	case rel == oneCallCSV && !p.local:
		return &p.oneCall
	case rel == schemasRego && !p.local:
		return &p.schemas
	}
	return nil
}

// makeJSON is how params.json comes about.
const makeJSON = "firstrod rules limits DIR writes it, where DIR is the folder of the packs."

// limitSample is a params.yaml with one limit in it.
const limitSample = `crossings:
  tide_gap:
    kind: "length"
    value: "3 ft"
    stricter: "higher"
    source: { name: "___ who says so", status: "chosen" }
    reason: { en: "___ why that much", es: "___ the same in Spanish" }
`

// whole refuses a pack that lacks a part of itself.
func (p *pack) whole(out *faults) {
	if p.local && p.overlay == nil {
		out.add(p.dir+overlayYAML, 0, "this file is missing; it says where the pack holds")
	}
	if !p.local && len(p.checks) == 0 {
		out.add(p.place(), 0, "the pack has no rules in it; without rules nothing may be released")
	}
	// A local pack may do without limits of its own.
	if p.yaml == nil && (!p.local || p.json != nil) {
		out.list = append(out.list, fault{file: p.dir + paramsYAML, say: "this file is missing; it holds the limits",
			hint: "Make it, with a limit in it like this one:\n" + limitSample})
	}
	if p.json == nil && (!p.local || p.yaml != nil) {
		out.list = append(out.list, fault{file: p.dir + paramsJSON, say: "this file is missing; it is made from " + paramsYAML, hint: makeJSON})
	}
	if p.schemas != nil && string(p.schemas) != StockSchemas {
		out.add(p.dir+schemasRego, 0, "this file only names the schemas for the stock rule engine and must stay as it was written")
	}
	have := map[string]bool{}
	for _, f := range p.checks {
		have[f.path] = true
	}
	for _, f := range p.tests {
		if check := checkOf(f.path); !have[check] {
			out.add(f.path, 0, "this tests %s, which is not there", check)
		}
	}
}

// checkOf is the file that a file of tests belongs to.
func checkOf(test string) string { return strings.TrimSuffix(test, testSuffix+".rego") + ".rego" }

// testsOf is the file of tests that belongs to a check.
func testsOf(check string) string { return strings.TrimSuffix(check, ".rego") + testSuffix + ".rego" }
