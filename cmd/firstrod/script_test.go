package main

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"firstrod/policies"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"firstrod": main})
}

// The scripts are sessions that users could type; each starts the real program
// in an empty folder. Words of our own: "flip FILE TEXT" changes one byte of the
// first TEXT in FILE, "crew FILE" writes what a careful crew types up to the
// release, with dates that are good today, "pack DIR" writes the base pack, "forge
// FROM TO" writes a ledger with a lie in it, "exits STATUS COMMAND" wants a status, "limit
// DIR NAME WAS IS" changes a length in the limits of a pack, "number DIR KIND"
// sets N to the first record of a kind, "web DIR|dead|hangs" has the server at $WEB
// give the files of DIR, no answer, or silence, "promise DIR KEY FILE DAY" exports with
// a promise to sign anew by a day that may be over.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "../../testdata/script",
		Setup: func(env *testscript.Env) error {
			env.Setenv("HOME", env.WorkDir)
			env.Setenv("XDG_DATA_HOME", filepath.Join(env.WorkDir, "xdg"))
			env.Setenv("TZ", "America/Phoenix")
			web := startWeb()
			env.Defer(web.Close)
			env.Values[webKey{}] = web
			env.Setenv("WEB", web.URL)
			return nil
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"flip": flip, "crew": crew, "pack": pack, "forge": forge, "exits": exits, "limit": limit, "number": numberOf,
			"web": setWeb, "promise": promise,
		},
		UpdateScripts: os.Getenv("UPDATE_SCRIPTS") != "",
	})
}

func flip(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: flip FILE TEXT")
	}
	path := ts.MkAbs(args[0])
	raw, err := os.ReadFile(path)
	ts.Check(err)
	at := bytes.Index(raw, []byte(args[1]))
	if at < 0 {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	raw[at] ^= 1
	ts.Check(os.WriteFile(path, raw, 0o600))
}

func pack(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("usage: pack DIR")
	}
	base, err := fs.Sub(policies.Base, "base")
	ts.Check(err)
	ts.Check(os.CopyFS(ts.MkAbs(args[0]), base))
}

func crew(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("usage: crew FILE")
	}
	lines, err := demoLines(time.Now())
	ts.Check(err)
	var typed []string
	for _, l := range lines {
		if strings.HasPrefix(l, "# While drilling") {
			break
		}
		if !strings.HasPrefix(l, "#") {
			typed = append(typed, l)
		}
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Join(typed, "\n")+"\n"), 0o600))
}

// The demo runs through, every time, and says what it did.
func TestDemo(t *testing.T) {
	t.Setenv("HOME", t.TempDir())
	t.Setenv("TMPDIR", t.TempDir())
	var out, errs bytes.Buffer
	code := run(context.Background(), []string{"chat", "--demo", "--fast"}, streams{strings.NewReader(""), &out, &errs})
	if code != exitFine {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	for _, want := range []string{
		"BLOCKED: 9.5 kHz", "2 1/2 in", "READY TO DRILL", "HELD: OR-4", "CLOSED: OR-4", "VERIFIED:", "nobody signs twice",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the demo does not show %q", want)
		}
	}
	for _, line := range transcript(t) {
		if !strings.Contains(out.String(), line) {
			t.Errorf("the README shows what the demo does not say: %q", line)
		}
	}
	if n := strings.Count(out.String(), "READY TO DRILL  OR-4"); n != 2 {
		t.Errorf("%d releases, want one before and one after the hold", n)
	}
}

// transcript is what the README shows of the demo, but for what differs from run
// to run: the time, the checkpoint, the revision of the rules.
func transcript(t *testing.T) []string {
	t.Helper()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(readme), "A stretch of the demo:")
	shown, _, ok2 := strings.Cut(rest, "\n## ")
	if !ok || !ok2 {
		t.Fatal("the README has no stretch of the demo")
	}
	var lines []string
	for _, line := range strings.Split(shown, "\n") {
		differs := strings.Contains(line, "until ") || strings.Contains(line, "Rules ") || strings.HasPrefix(line, "Record ")
		if strings.TrimSpace(line) != "" && line != "```" && !differs {
			lines = append(lines, line)
		}
	}
	if len(lines) < 15 {
		t.Fatalf("only %d lines of the demo in the README", len(lines))
	}
	return lines
}

// What a crew types in the demo up to its first release is at most 40 messages.
func TestDemoIsShort(t *testing.T) {
	lines, err := demoLines(time.Now())
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, l := range lines {
		switch {
		case strings.HasPrefix(l, "# While drilling"):
			if n > 40+demoExtras {
				t.Errorf("%d messages", n)
			}
			return
		case !strings.HasPrefix(l, "#"):
			n++
		}
	}
	t.Fatal("the demo has no release")
}

// demoExtras are messages of the demo that the bore did not need: a reading in
// the wrong view and its why, two looks at the board, one try to sign twice.
const demoExtras = 5

func TestExitCodesAreDocumented(t *testing.T) {
	help := (&app{}).root().Long
	for _, code := range []int{exitFine, exitCouldNotRun, exitUsage, exitStop, exitDamaged, exitUnanchored, exitInterrupted} {
		if !strings.Contains(help, strconv.Itoa(code)+" ") {
			t.Errorf("exit code %d is not in the help text", code)
		}
	}
}
