// Package blockcheck judges the messages and views of the bot by rules that are
// not ours: the types that the chat service publishes for JavaScript, read
// while the test runs, and a few documented limits those types do not carry.
//
// Call [Validate] with the payloads a test collected; [Problems] returns what
// was found instead of failing the test. Both need node and npm. [Packages]
// installs the npm packages once per machine, below the user's cache folder, so
// that nothing of them is part of this project; [Node] runs a script on them.
package blockcheck

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	_ "embed"
)

//go:embed check.cjs
var checker []byte

// pinned lists the npm packages, each at one version.
func pinned() []string {
	return []string{
		"@slack/bolt@5.1.0", "@slack/socket-mode@3.1.0", "@slack/types@3.2.0", "@slack/web-api@8.2.0",
		"ajv@8.20.0", "ts-json-schema-generator@2.4.0", "typescript@7.0.2",
	}
}

// The kinds of payload.
const (
	Message  = "message"  // an array of blocks
	Modal    = "modal"    // a modal view
	Home     = "home"     // a home tab view
	Manifest = "manifest" // an app manifest, as JSON
)

// Payload is one thing to judge.
type Payload struct {
	Kind string
	JSON []byte
}

// Validate fails the test for every payload of the kind that breaks a rule. It
// takes all of them in one run of node.
func Validate(t testing.TB, kind string, payloads [][]byte) {
	t.Helper()
	batch := make([]Payload, 0, len(payloads))
	for _, p := range payloads {
		batch = append(batch, Payload{kind, p})
	}
	for i, found := range Problems(t, batch) {
		if len(found) > 0 {
			t.Errorf("%s %d:\n  %s\n  %s", kind, i, strings.Join(found, "\n  "), payloads[i])
		}
	}
}

// Problems returns what is wrong with each payload, in the order given; an
// empty list means nothing.
func Problems(t testing.TB, payloads []Payload) [][]string {
	t.Helper()
	found, _ := judge(t, payloads)
	return found
}

// judge also returns how many limits were read out of the types.
func judge(t testing.TB, payloads []Payload) ([][]string, int) {
	t.Helper()
	type wire struct {
		Kind string `json:"kind"`
		JSON string `json:"json"`
	}
	var once []wire
	place := make([]int, len(payloads))
	seen := map[string]int{}
	for i, p := range payloads {
		if !json.Valid(p.JSON) {
			t.Fatalf("payload %d is no JSON: %s", i, p.JSON)
		}
		key := p.Kind + " " + string(p.JSON)
		at, known := seen[key]
		if !known {
			at = len(once)
			seen[key] = at
			once = append(once, wire{p.Kind, string(p.JSON)})
		}
		place[i] = at
	}
	modules := Packages(t)
	input, err := json.Marshal(map[string]any{"modules": modules, "scratch": t.TempDir(), "payloads": once})
	if err != nil {
		t.Fatal(err)
	}
	var answer struct {
		Limits   int        `json:"limits"`
		Problems [][]string `json:"problems"`
	}
	out := Node(t, checker, input)
	if err := json.Unmarshal(out, &answer); err != nil || len(answer.Problems) != len(once) {
		t.Fatalf("node answered %d lists for %d payloads: %v\n%s", len(answer.Problems), len(once), err, out)
	}
	found := make([][]string, len(payloads))
	for i, p := range payloads {
		found[i] = append(byHand(p), answer.Problems[place[i]]...)
	}
	return found, answer.Limits
}

// Packages returns a folder whose node_modules holds the pinned packages. The
// first call on a machine installs them. Without node or npm the test is
// skipped, or fails where every real part must be present (FIRSTROD_REAL=1).
func Packages(t testing.TB) string {
	t.Helper()
	for _, program := range []string{"node", "npm"} {
		if _, err := exec.LookPath(program); err != nil {
			missing(t, program+" is not installed")
		}
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		missing(t, "no cache folder for npm packages: "+err.Error())
	}
	sum := sha256.Sum256([]byte(strings.Join(pinned(), " ")))
	dir := filepath.Join(cache, "firstrod-test", "npm-"+hex.EncodeToString(sum[:6]))
	if _, err := os.Stat(filepath.Join(dir, "node_modules")); err == nil {
		return dir
	}
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		missing(t, err.Error())
	}
	draft, err := os.MkdirTemp(filepath.Dir(dir), "draft-")
	if err != nil {
		missing(t, err.Error())
	}
	defer os.RemoveAll(draft) //nolint:errcheck // a left-over draft is harmless
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	args := append([]string{"install", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix", draft}, pinned()...)
	if out, err := exec.CommandContext(ctx, "npm", args...).CombinedOutput(); err != nil {
		missing(t, "npm install: "+err.Error()+"\n"+string(out))
	}
	// Another test may have been faster; its folder is as good.
	if err := os.Rename(draft, dir); err != nil && !errors.Is(err, fs.ErrExist) {
		if _, stat := os.Stat(filepath.Join(dir, "node_modules")); stat != nil {
			missing(t, err.Error())
		}
	}
	return dir
}

func missing(t testing.TB, why string) {
	t.Helper()
	if os.Getenv("FIRSTROD_REAL") == "1" {
		t.Fatal(why)
	}
	t.Skip(why)
}

// Node runs a script with the input on its standard input and returns what it
// printed. A script that fails fails the test.
func Node(t testing.TB, script, input []byte) []byte {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	file := filepath.Join(t.TempDir(), "script.cjs")
	if err := os.WriteFile(file, script, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(ctx, "node", file)
	var out, complaint bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = bytes.NewReader(input), &out, &complaint
	if err := cmd.Run(); err != nil {
		t.Fatalf("node: %v\n%s", err, complaint.Bytes())
	}
	return out.Bytes()
}
