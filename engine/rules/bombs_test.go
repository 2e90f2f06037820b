package rules

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"github.com/open-policy-agent/opa/v1/rego"

	"firstrod/engine"
	"firstrod/engine/desk"
)

// bombChild is set in a process that is the child of a trial, and says which
// loader it is to use.
const bombChild = "RULES_TEST_BOMB"

// bombLimits are in force in every child. 2 s are four times what the base pack
// with all its tests takes.
func bombLimits() desk.Limits {
	return desk.Limits{CPU: 2 * time.Second, Data: 512 << 20, Wall: 20 * time.Second}
}

// TestBombChild is no test but the child of the next one.
func TestBombChild(t *testing.T) {
	mode := os.Getenv(bombChild)
	if mode == "" {
		t.Skip("this is the child of TestBombsEndInTheirChild")
	}
	err := desk.Judge(context.Background(), os.Stdin, os.Stdout, bombLimits(), func(ctx context.Context, c desk.Candidate) error {
		if mode == "load" {
			_, err := Load(ctx, c.Base(), Options{})
			_, failed := Test(ctx, c.Base())
			return errors.Join(err, failed)
		}
		query, err := fs.ReadFile(c.Base(), "query.rego")
		if err != nil {
			return err
		}
		_, err = rego.New(rego.Query(string(query))).Eval(ctx) // all functions of the engine, no deadline
		return errors.Join(errors.New("it came to an end"), err)
	})
	if err != nil {
		syscall.Exit(1)
	}
	syscall.Exit(0) // before the test runner writes behind the verdict
}

// nested is a comprehension in a comprehension, n deep. The compiler takes three
// times as long for each level, and nothing can stop it.
func nested(n int) string {
	e := "[1]"
	for i := range n {
		e = fmt.Sprintf("[x%d | x%d := %s]", i, i, e)
	}
	return e
}

// deep is the small pack with such a comprehension in a test. In a rule the house
// lint refuses it; tests it does not look at.
func deep(n int) fs.FS {
	pack := fixture()
	text := "package tests.base.ground.metal\n\ntest_deep if count(" + nested(n) + ") > 0\n"
	pack["ground/metal_test.rego"] = &fstest.MapFile{Data: []byte(text)}
	return pack
}

// trial tries a pack with a loader in a child.
func trial(t *testing.T, mode string, pack fs.FS) error {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "base"), pack); err != nil {
		t.Fatal(err)
	}
	c, err := desk.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	child := desk.Child{Exe: exe, Args: []string{"-test.run=^TestBombChild$"}, Env: []string{bombChild + "=" + mode}}
	return desk.Trial(t.Context(), child, c, bombLimits())
}

// What gets through the list of functions that rules may use, and what would do
// harm if one of the others got through, ends in the child.
func TestBombsEndInTheirChild(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("only Linux keeps the limits of a trial")
	}
	if err := trial(t, "load", fixture()); err != nil {
		t.Fatalf("a good pack: %v", err)
	}
	query := func(text string) fs.FS {
		pack := fixture()
		pack["query.rego"] = &fstest.MapFile{Data: []byte(text)}
		return pack
	}
	for name, c := range map[string]struct {
		mode string
		pack fs.FS
		say  []string // one of these
	}{
		"a deep comprehension": {"load", deep(18), []string{"computing time"}},
		"a shift":              {"all", query("x := bits.lsh(1, 4000000000)"), []string{"computing time", "memory", "without a result"}},
		"a long list":          {"all", query("x := count(numbers.range(1, 1000000000))"), []string{"computing time", "memory", "without a result"}},
		"loops in loops": {"all", query("n := count([1 | some i in numbers.range(1, 20000); some j in numbers.range(1, 20000); i + j < 0])"),
			[]string{"computing time"}},
	} {
		t.Run(name, func(t *testing.T) {
			began := time.Now()
			err := trial(t, c.mode, c.pack)
			ours, ok := errors.AsType[*engine.Error](err)
			if !ok || ours.Kind != engine.Rules {
				t.Fatalf("%v", err)
			}
			for _, say := range c.say {
				if strings.Contains(ours.Say, say) {
					t.Logf("%s, after %s", ours.Say, time.Since(began).Round(100*time.Millisecond))
					return
				}
			}
			t.Errorf("%q", ours.Say)
		})
	}
}
