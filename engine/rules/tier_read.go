package rules

import (
	"bytes"
	"cmp"
	"runtime"
	"slices"
	"strings"
	"sync"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine"
)

// read reads every file by itself.
func (t *tier) read(out *faults) {
	if t.local {
		t.overlay = readOverlay(t.dir+overlayYAML, t.pack.overlay, out)
		t.retired = t.overlay.retired
	} else if t.pack.retired != nil {
		t.retired = readRetired(t.dir+retiredYAML, t.pack.retired, out)
	}
	for i := range t.retired {
		t.retired[i].Pack = t.code
	}
	if t.pack.oneCall != nil {
		t.calls = readOneCalls(t.dir+oneCallCSV, t.pack.oneCall, out)
	}
	t.readParams(out)
	t.readFiles(out)
	t.readTests(out)
}

func (t *tier) readParams(out *faults) {
	if t.pack.yaml == nil {
		return
	}
	t.own = readLimits(t.dir+paramsYAML, t.pack.yaml, out)
	if len(out.list) > 0 {
		return
	}
	want, err := writeParams(t.own.all)
	if err != nil || !bytes.Equal(want, t.pack.json) {
		out.list = append(out.list, fault{file: t.dir + paramsJSON, say: "this file does not match " + paramsYAML + "; make it anew", hint: makeJSON})
	}
	t.taken(out)
}

// taken refuses a limit that is there already, under its name or where rules read
// it: of two limits at one place one would silently stand for the other.
func (t *tier) taken(out *faults) {
	names, paths := map[string]*engine.Param{}, map[string]*engine.Param{}
	for _, p := range t.over.params() {
		names[p.Name], paths[p.Path] = p, p
	}
	for _, p := range t.own.all {
		p.Pack = t.code
		other := cmp.Or(names[p.Name], paths[p.Path])
		switch {
		case other == nil:
		case other.Pack != t.code:
			out.list = append(out.list, fault{file: t.dir + paramsYAML,
				say:  "the limit " + other.Name + " is there in a wider pack already",
				hint: "Set it under limits in " + overlayYAML + "; " + paramsYAML + " of a local pack is for new limits."})
		default:
			out.add(t.dir+paramsYAML, 0, "the limit %s is there twice", other.Name)
		}
		names[p.Name], paths[p.Path] = p, p
	}
}

// readFiles reads the checks, each by itself and so on every core there is.
func (t *tier) readFiles(out *faults) {
	results := make([]checkFile, len(t.pack.checks))
	caps := capabilities()
	next := make(chan int)
	var work sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(results)) {
		work.Go(func() {
			for i := range next {
				results[i].read(t.pack.checks[i], t.code, caps)
			}
		})
	}
	for i := range results {
		next <- i
	}
	close(next)
	work.Wait()
	for i, r := range results {
		out.list = append(out.list, r.out.list...)
		if r.check != nil {
			t.modules[t.pack.checks[i].path] = r.module
			t.checks = append(t.checks, r.check)
		}
	}
	slices.SortFunc(t.checks, inOrder)
}

// checkFile is a check as it was read. Without faults it has both parts.
type checkFile struct {
	module *ast.Module
	check  *engine.Check
	out    faults
}

// read reads one file. A panic of the rule engine is one more fault: it would end
// the program otherwise, for the guard of Load does not see another goroutine.
func (c *checkFile) read(f file, layer string, caps *ast.Capabilities) {
	_, err := guard(func() (bool, error) {
		m, parsed := parse(f, caps, &c.out)
		if check, read := readCheck(f, layer, &c.out); parsed && read && small(f, m, &c.out) {
			c.module, c.check = m, check
		}
		return true, nil
	})
	if err != nil {
		c.check = nil
		c.out.list = append(c.out.list, fault{file: f.path, say: "this file cannot be read", err: err})
	}
}

// readTests: tests are not part of a Set, but must not look like a part of a
// check to anybody who runs the pack with the stock engine.
func (t *tier) readTests(out *faults) {
	for _, f := range t.pack.tests {
		line, at := "", 0
		for i, l := range strings.Split(string(f.data), "\n") {
			if line, at = strings.TrimSpace(l), i+1; line != "" && line[0] != '#' {
				break
			}
		}
		want := "package tests." + packageOf(t.code) + "." + strings.TrimSuffix(idOf(f.path), testSuffix)
		if line != want {
			out.add(f.path, at, "this file must begin with %s, and begins with %q", want, line)
		}
	}
}
