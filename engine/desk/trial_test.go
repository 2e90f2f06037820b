package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/big"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"firstrod/engine"
)

// A test binary that is started with this set is the child of a trial, and does
// what it says with the rules it is given.
const childMode = "DESK_TEST_CHILD"

func TestMain(m *testing.M) {
	mode := os.Getenv(childMode)
	if mode == "" {
		os.Exit(m.Run())
	}
	if err := child(mode); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// tight are the limits of these tests, in parent and child.
func tight() Limits { return Limits{CPU: time.Second, Data: 256 << 20, Wall: 20 * time.Second} }

func child(mode string) error {
	switch mode {
	case "silent":
		return nil
	case "forger":
		fmt.Println(`{"sum":"0","ok":true,"say":"","hint":"","faults":[]}`)
		return nil
	case "two answers":
		fmt.Print(`{"ok":false,"say":"no"}{"ok":true}`)
		return nil
	case "gibberish":
		fmt.Println("PASS")
		return nil
	case "more than asked":
		fmt.Println(`{"ok":false,"say":"no","also":1}`)
		return nil
	case "flood":
		block := bytes.Repeat([]byte("x"), 1<<20)
		for {
			if _, err := os.Stdout.Write(block); err != nil {
				return err
			}
		}
	case "no":
		return errors.New("cannot")
	case "deaf":
		time.Sleep(time.Hour)
	}
	return Judge(context.Background(), os.Stdin, os.Stdout, tight(), func(ctx context.Context, c Candidate) error { return judged(ctx, mode, c) })
}

// kept holds what a bomb allocates, so that it counts.
type kept struct{ all [][]byte }

func judged(ctx context.Context, mode string, c Candidate) error {
	switch mode {
	case "good":
		_, err := loads(ctx, c)
		return err
	case "shift": // what a shift by a large number does in the rule engine
		for i := uint(0); ; i++ {
			big.NewInt(1).Lsh(big.NewInt(1), 1_000_000_000+i)
		}
	case "loop":
		for n := 0; ; n++ {
			if n < 0 {
				return nil
			}
		}
	case "memory":
		var k kept
		for {
			k.all = append(k.all, bytes.Repeat([]byte("x"), 1<<20))
		}
	case "slow":
		time.Sleep(time.Hour)
	case "panic":
		panic("the engine fell over")
	case "file":
		return os.WriteFile(os.Args[0]+".written", []byte("x"), 0o600)
	case "secrets":
		return fmt.Errorf("%d: %v", len(os.Environ()), os.Environ())
	}
	return fmt.Errorf("no such mode: %s", mode)
}

func try(t *testing.T, mode string) error {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := newFolder(t)
	if mode == "bad" {
		mode = "good"
		write(t, dir+"/base/ground/clay.rego", "package x\n\nBAD\n")
	}
	t.Setenv("FIRSTROD_SLACK_BOT_TOKEN", "not for the child")
	limits := tight()
	if mode == "slow" || mode == "deaf" || mode == "flood" {
		limits.Wall = time.Second // by the clock alone, whatever the machine is doing
	}
	return Trial(t.Context(), Child{Exe: exe, Env: []string{childMode + "=" + mode}}, read(t, dir), limits)
}

func TestATrialOfGoodAndOfBadRules(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	if err := try(t, "good"); err != nil {
		t.Error(err)
	}
	err := try(t, "bad")
	fails(t, err, engine.Rules, "base/ground/clay.rego:3: BAD is no word")
	if f := FaultsOf(err); len(f) != 1 || f[0].Line != 3 || f[0].Hint != "take it out" {
		t.Errorf("%+v", f)
	}
}

// Bombs go off in the child and are ended by the limit that is meant for them.
// The shift takes both memory and time; which of the two ends first, and whether
// the Go runtime still finds words, is not told beforehand.
func TestBombs(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("only Linux keeps these limits")
	}
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	for mode, say := range map[string]string{
		"loop": "more than 1s of computing time", "shift": "", "slow": "longer than 1s", "deaf": "longer than 1s",
	} {
		t.Run(mode, func(t *testing.T) {
			if raced && mode == "shift" {
				t.Skip("the race detector's own memory cannot be told from the program's")
			}
			began := time.Now()
			err := try(t, mode)
			fails(t, err, engine.Rules, say)
			if took := time.Since(began); took > 21*time.Second {
				t.Errorf("it took %s", took)
			}
		})
	}
}

// Rules that want ever more memory never pass. Once in a hundred the Go runtime
// itself falls over a list that it could not get, and says nothing of memory.
func TestABombOfMemory(t *testing.T) {
	if raced || runtime.GOOS != "linux" {
		t.Skip("only Linux keeps this limit, and the race detector's own memory cannot be told from the program's")
	}
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	named := 0
	for range 5 {
		err := try(t, "memory")
		fails(t, err, engine.Rules, "the rules")
		if strings.Contains(err.Error(), "more than 256 MiB of memory") {
			named++
		}
	}
	if named < 3 {
		t.Errorf("the bound of memory was named %d times of 5", named)
	}
}

func TestChildrenThatBehaveBadly(t *testing.T) {
	for mode, c := range map[string]struct {
		kind engine.Failure
		say  string
	}{
		"silent":          {engine.Internal, "no clear result"},
		"forger":          {engine.Internal, "about other rules"},
		"two answers":     {engine.Internal, "no clear result"},
		"gibberish":       {engine.Internal, "no clear result"},
		"more than asked": {engine.Internal, "no clear result"},
		"flood":           {engine.Rules, "longer than 1s"},
		"no":              {engine.Rules, "without a result"},
		"panic":           {engine.Rules, "made the rule engine fail"},
	} {
		t.Run(mode, func(t *testing.T) { fails(t, try(t, mode), c.kind, c.say) })
	}
	err := Trial(t.Context(), Child{Exe: "/no/such/program"}, read(t, newFolder(t)), tight())
	fails(t, err, engine.Internal, "could not be started")
}

// The child has no secrets to tell, and leaves nothing behind.
func TestTheChildHasNothing(t *testing.T) {
	if err := try(t, "secrets"); err == nil || !strings.HasPrefix(err.Error(), "1: ["+childMode+"=") {
		t.Errorf("%v", err)
	}
	if runtime.GOOS == "linux" {
		if err := try(t, "file"); err == nil || !strings.Contains(err.Error(), "too large") {
			t.Errorf("%v", err)
		}
	}
}

func TestATrialThatIsCalledOff(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	time.AfterFunc(50*time.Millisecond, stop)
	err = Trial(ctx, Child{Exe: exe, Env: []string{childMode + "=slow"}}, read(t, newFolder(t)), tight())
	if !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// What a child is given may be anything.
func TestJudgeOnBadArchives(t *testing.T) {
	for name, in := range map[string]io.Reader{
		"nothing": strings.NewReader(""), "a page": strings.NewReader("<html>"), "a broken pipe": io.MultiReader(failing{}),
		"without end": zeros{},
	} {
		v := judge(t.Context(), in, func(context.Context, Candidate) error { return nil })
		if v.OK || v.Say == "" {
			t.Errorf("%s: %+v", name, v)
		}
		if _, err := json.Marshal(v); err != nil {
			t.Error(err)
		}
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("broken") }

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }
