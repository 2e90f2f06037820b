package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// shared is a buffer for a verb that runs beside the test.
type shared struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *shared) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *shared) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// office is a witness that runs beside the test, as another department's would.
type office struct {
	t      *testing.T
	dir    string
	key    string
	url    string
	stop   context.CancelFunc
	done   chan int
	errors *shared
}

func (o *office) start(more ...string) {
	o.t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	out := &shared{}
	o.errors, o.stop, o.done = &shared{}, stop, make(chan int, 1)
	args := append([]string{"witness", "serve", "--listen", "127.0.0.1:0", "--state", filepath.Join(o.dir, "state"), "--key", filepath.Join(o.dir, "key")}, more...)
	go func() { o.done <- run(ctx, args, streams{strings.NewReader(""), out, o.errors}) }()
	for range 500 {
		if _, url, ok := strings.Cut(out.String(), " on "); ok {
			o.url = strings.TrimSpace(url)
			return
		}
		select {
		case code := <-o.done:
			o.t.Fatalf("the witness ended with %d: %s", code, o.errors.String())
		case <-time.After(10 * time.Millisecond):
		}
	}
	o.t.Fatal("the witness does not start")
}

func (o *office) end() {
	o.stop()
	if code := <-o.done; code != exitInterrupted {
		o.t.Errorf("the witness ended with %d: %s", code, o.errors.String())
	}
}

// told runs a verb and gives what it said.
func told(t *testing.T, want int, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(context.Background(), args, streams{strings.NewReader(""), &out, &errs}); code != want {
		t.Fatalf("%v: exit %d, want %d\n%s%s", args, code, want, out.String(), errs.String())
	}
	return out.String() + errs.String()
}

// typed has a crew type lines into the bot.
func typed(t *testing.T, data, lines string) {
	t.Helper()
	var out, errs bytes.Buffer
	run(context.Background(), []string{"chat", "--data", data}, streams{strings.NewReader(lines), &out, &errs})
	if errs.Len() > 0 {
		t.Log(errs.String())
	}
}

// TestWitnessAcrossTheYard: a ledger is cosigned by another department, its files
// rest on that, and a ledger that was put back or rewritten is refused.
func TestWitnessAcrossTheYard(t *testing.T) {
	t.Setenv("HOME", t.TempDir())
	dir := t.TempDir()
	data, file := filepath.Join(dir, "d"), filepath.Join(dir, "or1.zip")
	typed(t, data, "Dana Reyes, locating hand\nnew OR-1, Otter Run\n")
	backup := filepath.Join(dir, "backup")
	if err := os.CopyFS(backup, os.DirFS(data)); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(filepath.Join(backup, "log.key"), 0o600); err != nil {
		t.Fatal(err)
	}
	logKey := strings.TrimSpace(told(t, exitFine, "checkpoint", "--public-key", "--data", data))

	o := &office{t: t, dir: t.TempDir()}
	o.key = strings.TrimSpace(told(t, exitFine, "witness", "key", "--name", "safety.example/witness", "--out", filepath.Join(o.dir, "key")))
	told(t, exitUsage, "witness", "key", "--name", "safety.example/witness", "--out", filepath.Join(o.dir, "key"))
	told(t, exitUsage, "witness", "serve", "--state", filepath.Join(o.dir, "state"), "--key", filepath.Join(o.dir, "key"), "--log", logKey)
	o.start("--log", logKey, "--new")

	cosign := func(want int, data string) string {
		return told(t, want, "checkpoint", "--cosign", o.url, "--witness", o.key, "--data", data)
	}
	policy := filepath.Join(dir, "policy.txt")
	if err := os.WriteFile(policy, fmt.Appendf(nil, "log %s\nwitness safety %s %s\nquorum safety\n", logKey, o.key, o.url), 0o600); err != nil {
		t.Fatal(err)
	}
	if out := told(t, exitDamaged, "verify", "--policy", policy, "--data", data); !strings.Contains(out, "FAULT policy: no checkpoint of this ledger was cosigned") {
		t.Error(out)
	}
	if out := cosign(exitFine, data); !strings.Contains(out, "— safety.example/witness ") {
		t.Error(out)
	}
	typed(t, data, "Dana Reyes\nnew OR-2, Otter Run\n")
	// One that is not cosigned yet, then a cosigned one.
	told(t, exitFine, "prove", "OR-2", "-o", file, "--data", data)
	if out := told(t, exitDamaged, "verify", file, "--policy", policy); !strings.Contains(out, "FAULT policy: too few have cosigned") {
		t.Error(out)
	}
	cosign(exitFine, data)
	if out := told(t, exitFine, "prove", "OR-2", "-o", file, "--data", data); !strings.Contains(out, "The checkpoint is cosigned") {
		t.Error(out)
	}
	if out := told(t, exitFine, "verify", file, "--policy", policy); !strings.Contains(out, "cosigned by safety at ") {
		t.Error(out)
	}
	if out := told(t, exitFine, "verify", "--policy", policy, "--data", data); !strings.Contains(out, "cosigned by safety at ") {
		t.Error(out)
	}

	// A restart of the witness changes nothing.
	o.end()
	o.start("--log", logKey)
	cosign(exitFine, data)
	// The backup is put back: a rollback. And it goes on from there: a fork.
	if out := cosign(exitDamaged, backup); !strings.Contains(out, "rollback: the witness has seen a longer ledger") {
		t.Error(out)
	}
	for i := range 9 {
		typed(t, backup, fmt.Sprintf("Dana Reyes\nnew OR-7%d, Otter Run\n", i))
	}
	if out := cosign(exitDamaged, backup); !strings.Contains(out, "422") {
		t.Error(out)
	}
	if !strings.Contains(o.errors.String(), "refused 422: fork") || !strings.Contains(o.errors.String(), "    old ") {
		t.Errorf("the request is not kept as proof: %s", o.errors.String())
	}
	// With the cosigned checkpoint, verify names it too.
	if out := told(t, exitDamaged, "verify", "--pin", filepath.Join(data, cosignedFile), "--data", backup); !strings.Contains(out, "FAULT rewrite") {
		t.Error(out)
	}
	o.end()
}

func TestCosignWantsBoth(t *testing.T) {
	t.Setenv("HOME", t.TempDir())
	data := filepath.Join(t.TempDir(), "d")
	typed(t, data, "Dana Reyes, locating hand\nnew OR-1, Otter Run\n")
	told(t, exitUsage, "checkpoint", "--cosign", "http://127.0.0.1:1", "--data", data)
	told(t, exitUsage, "checkpoint", "--cosign", "http://127.0.0.1:1", "--witness", "hello", "--data", data)
	told(t, exitUsage, "verify", "--policy", "nowhere", "--data", data)
}
