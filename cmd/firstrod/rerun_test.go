package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/spf13/pflag"

	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// forge writes the ledger of one folder into another as its own, but for one
// answer: metal was 12 ft away. Signatures, findings, releases: all as they were.
func forge(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: forge FROM TO")
	}
	from, err := openPast(ts.MkAbs(args[0]))
	ts.Check(err)
	defer from.close()
	to, err := boltstore.Open(ts.MkAbs(args[1]), boltstore.Options{})
	ts.Check(err)
	rows, err := from.reader.Records(1, 10_000) // the new log has a first record of its own
	ts.Check(err)
	for _, row := range rows {
		r, err := ledger.Decode(row.Data)
		ts.Check(err)
		e := ledger.Entry{Record: r}
		for i := range r.Facts {
			if r.Facts[i].Key == "metal_distance" {
				r.Facts[i].Value = quantity.Of(quantity.Length, 12*304800).Exact()
			}
		}
		var sums []string
		if r.Pack != nil {
			sums = append(sums, r.Pack.Blob)
		}
		if r.Sign != nil {
			sums = append(sums, r.Sign.Input)
		}
		for _, sum := range sums {
			blob, err := from.Blob(context.Background(), sum)
			ts.Check(err)
			e.Blobs = append(e.Blobs, blob)
		}
		if r.Person != nil {
			p, _, err := from.reader.Value(r.Person.ID)
			ts.Check(err)
			e.Private = append(e.Private, p)
		}
		_, err = to.Append(context.Background(), e)
		ts.Check(err)
	}
	ts.Check(to.Close())
}

// numberOf sets N to the number of the first record of a kind.
func numberOf(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: number DIR KIND")
	}
	p, err := openPast(ts.MkAbs(args[0]))
	ts.Check(err)
	defer p.close()
	for seq := int64(0); ; seq++ {
		r, ok, err := p.record(seq)
		ts.Check(err)
		if !ok {
			ts.Fatalf("no record of kind %s", args[1])
		}
		if string(r.Kind) == args[1] {
			ts.Setenv("N", strconv.FormatInt(seq, 10))
			return
		}
	}
}

// exits runs a program that must end with a status.
func exits(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) < 2 {
		ts.Fatalf("usage: exits STATUS COMMAND ARGS...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if e, ok := errors.AsType[*exec.ExitError](ts.Exec(args[1], args[2:]...)); ok {
		got = e.ExitCode()
	}
	if got != want {
		ts.Fatalf("status %d, want %d", got, want)
	}
}

// limit changes a length in the limits of a pack.
func limit(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 4 {
		ts.Fatalf("usage: limit DIR NAME WAS IS")
	}
	file := ts.MkAbs(filepath.Join(args[0], "params.yaml"))
	raw, err := os.ReadFile(file)
	ts.Check(err)
	head, rest, found := strings.Cut(string(raw), "\n  "+args[1]+":\n")
	form := "    kind: length\n    value: %q\n"
	was, is := fmt.Sprintf(form, args[2]), fmt.Sprintf(form, args[3])
	at := strings.Index(rest, "    kind: ")
	if !found || at < 0 || !strings.HasPrefix(rest[at:], was) {
		ts.Fatalf("no limit %s of %s in %s", args[1], args[2], file)
	}
	changed := head + "\n  " + args[1] + ":\n" + rest[:at] + is + rest[at+len(was):]
	ts.Check(os.WriteFile(file, []byte(changed), 0o600))
}

// The bar fills as it goes and leaves nothing behind.
func TestBar(t *testing.T) {
	var out strings.Builder
	b := &bar{w: &out}
	for done := range 4 {
		b.show(done, 3)
	}
	b.clear()
	lines := strings.Split(out.String(), "\r")
	want := []string{"", "[" + strings.Repeat(" ", 30) + "] 0 of 3 bores", "[" + strings.Repeat("=", 10) + strings.Repeat(" ", 20) + "] 1 of 3 bores",
		"[" + strings.Repeat("=", 20) + strings.Repeat(" ", 10) + "] 2 of 3 bores", "[" + strings.Repeat("=", 30) + "] 3 of 3 bores", "\x1b[K"}
	if !slices.Equal(lines, want) {
		t.Errorf("%q", lines)
	}
}

// What the units start are verbs that there are, with flags that they take.
func TestUnitsStartWhatThereIs(t *testing.T) {
	units, err := filepath.Glob("../../deploy/*.service")
	if err != nil || len(units) < 2 {
		t.Fatal(units, err)
	}
	verbs := ""
	for _, unit := range units {
		raw, err := os.ReadFile(unit)
		if err != nil {
			t.Fatal(err)
		}
		for line := range bytes.Lines(raw) {
			command, ok := strings.CutPrefix(strings.TrimSpace(string(line)), "ExecStart=")
			if !ok {
				continue
			}
			words := strings.Fields(command)
			cmd, rest, err := (&app{}).root().Find(words[1:])
			if err != nil {
				t.Fatalf("%s: %s: %v", unit, command, err)
			}
			flags := pflag.NewFlagSet("all", pflag.ContinueOnError)
			flags.AddFlagSet(cmd.Flags())
			flags.AddFlagSet(cmd.InheritedFlags())
			if err := flags.Parse(rest); err != nil {
				t.Errorf("%s: %s: %v", unit, command, err)
			}
			verbs += cmd.Name() + " "
		}
	}
	for _, want := range []string{"serve", "verify", "rerun", "backup"} {
		if !strings.Contains(verbs, want) {
			t.Errorf("no unit starts %s: %s", want, verbs)
		}
	}
}
