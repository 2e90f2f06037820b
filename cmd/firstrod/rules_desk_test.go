package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"firstrod/engine/desk"
	"firstrod/policies"
)

// yard is a safety manager's folder with the base pack in it, published, and
// what the verbs do there.
type yard struct {
	t   *testing.T
	dir string
}

func newYard(t *testing.T) yard {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	y := yard{t, t.TempDir()}
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join(y.dir, "base"), base); err != nil {
		t.Fatal(err)
	}
	return y
}

// verb runs a verb on the folder and gives its output.
func (y yard) verb(want int, name string, args ...string) string {
	y.t.Helper()
	var out bytes.Buffer
	all := append([]string{"rules", name, y.dir}, args...)
	if code := run(context.Background(), all, streams{strings.NewReader(""), &out, &out}); code != want {
		y.t.Fatalf("%v: exit %d: %s", all, code, out.String())
	}
	return out.String()
}

func (y yard) publish(want int, why string) string {
	y.t.Helper()
	return y.verb(want, "publish", "--by", "Alma Ruiz", "--why", why)
}

// edit changes a file, once.
func (y yard) edit(name, old, text string) {
	y.t.Helper()
	path := filepath.Join(y.dir, name)
	raw, err := os.ReadFile(path)
	if err != nil {
		y.t.Fatal(err)
	}
	if !strings.Contains(string(raw), old) {
		y.t.Fatalf("%s does not hold %q", name, old)
	}
	if err := os.WriteFile(path, []byte(strings.Replace(string(raw), old, text, 1)), 0o644); err != nil {
		y.t.Fatal(err)
	}
}

// name publishes past the verb, as somebody does who has another program.
func (y yard) name(why string) {
	y.t.Helper()
	c, err := desk.Read(y.dir)
	if err != nil {
		y.t.Fatal(err)
	}
	next, err := desk.Next(y.dir)
	if err != nil {
		y.t.Fatal(err)
	}
	p := desk.Publication{Serial: next, Sum: c.Sum, By: "Otto Krug", Why: why, At: time.Now().UTC().Truncate(time.Second)}
	if err := desk.Publish(y.dir, p); err != nil {
		y.t.Fatal(err)
	}
}

// The whole way with real rules: what is published comes into force by itself,
// and what is broken does not, however it got there.
func TestRealRulesComeIntoForce(t *testing.T) {
	y := newYard(t)
	y.publish(exitFine, "first")
	alerts := make(chan desk.Alert, 20)
	d, err := desk.New(desk.Config{
		Source: desk.Folder(y.dir), Accept: acceptRules, Alert: func(a desk.Alert) { alerts <- a }, Every: 20 * time.Millisecond,
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Start(t.Context()); err != nil {
		t.Fatal(err)
	}
	first := d.Live().Rulebook.At("", 0).Catalogue().Revision
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- d.Run(ctx) }()
	wait := func(kind desk.Kind) desk.Alert {
		t.Helper()
		for {
			select {
			case a := <-alerts:
				if a.Kind == kind {
					return a
				}
			case <-time.After(2 * time.Minute):
				t.Fatalf("no alert of the kind %s", kind)
			}
		}
	}

	y.edit("base/params.yaml", "30 ft", "45 ft")
	yard{t, filepath.Join(y.dir, "base")}.verb(exitFine, "limits")
	wait(desk.Unpublished)
	y.publish(exitFine, "more room")
	wait(desk.InForce)
	second := d.Live().Rulebook.At("", 0).Catalogue().Revision
	if second == first || d.Live().Publication.Serial != 2 {
		t.Errorf("revision %s, publication %+v", second, d.Live().Publication)
	}

	y.edit("base/ground/metal_baseline.rego", "input.metal_distance", "input.metal_distanse")
	y.name("a slip")
	a := wait(desk.Refused)
	if len(a.Faults) == 0 || a.Faults[0].File != "base/ground/metal_baseline.rego" || a.Faults[0].Line == 0 || !strings.Contains(a.Say, "metal_distanse") {
		t.Errorf("%+v", a)
	}
	if got := d.Live().Rulebook.At("", 0).Catalogue().Revision; got != second {
		t.Errorf("revision %s is in force, want %s", got, second)
	}
	y.edit("base/ground/metal_baseline.rego", "input.metal_distanse", "input.metal_distance")
	y.publish(exitFine, "mended")
	wait(desk.InForce)
	stop()
	if err := <-ended; !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// A test that would keep the compiler busy for hours ends in the child, where
// the real program has set its limits.
func TestABombIsNotPublished(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("only Linux keeps the limits of a trial")
	}
	y := newYard(t)
	nested := "[1]"
	for i := range 20 {
		nested = fmt.Sprintf("[x%d | x%d := %s]", i, i, nested)
	}
	y.edit("base/ground/metal_baseline_test.rego", "\n\n", "\n\ntest_bomb if count("+nested+") > 0\n\n")
	if out := y.publish(exitCouldNotRun, "a bomb"); !strings.Contains(out, "of computing time") && !strings.Contains(out, "of memory") {
		t.Error(out)
	}
	if _, err := os.Stat(filepath.Join(y.dir, "publication.json")); !errors.Is(err, fs.ErrNotExist) {
		t.Error("it was published")
	}
}
