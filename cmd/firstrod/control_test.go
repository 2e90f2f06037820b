package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"firstrod/engine"
)

func quietLog() *slog.Logger { return slog.New(slog.DiscardHandler) }

// The socket is its owner's alone, answers what it knows, and leaves nothing running
// or lying about, even while somebody waits for an answer.
func TestControlSocket(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	dir := t.TempDir()
	release := make(chan struct{})
	answers := map[string]func(context.Context, io.Writer) error{
		"word": func(_ context.Context, w io.Writer) error { _, err := io.WriteString(w, "ok\nhello"); return err },
		"fail": func(context.Context, io.Writer) error { return errors.New("the disk\nis full") },
		"slow": func(ctx context.Context, w io.Writer) error {
			if _, err := io.WriteString(w, "ok\n"); err != nil {
				return err
			}
			close(release)
			<-ctx.Done()
			return ctx.Err()
		},
	}
	// What a killed service has left is in nobody's way.
	if err := os.WriteFile(filepath.Join(dir, controlFile), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	c, err := listenControl(dir, quietLog(), answers)
	if err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(filepath.Join(dir, controlFile))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v; want 0600", info.Mode(), err)
	}
	r, ok, err := askControl(dir, "word")
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	got, err := io.ReadAll(r)
	r.Close()
	if err != nil || string(got) != "hello" {
		t.Errorf("%q, %v", got, err)
	}
	for request, want := range map[string]string{"fail": "the disk; is full", "rm -rf": "does not know", strings.Repeat("x", 200): "does not answer"} {
		_, ok, err := askControl(dir, request)
		if !ok || engine.KindOf(err) != engine.Busy || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, %v", request, ok, err)
		}
	}
	slow, _, err := askControl(dir, "slow")
	if err != nil {
		t.Fatal(err)
	}
	<-release
	if _, _, err := askControl(dir, "word"); err == nil || !strings.Contains(err.Error(), "another request") {
		t.Errorf("a second request at the same time: %v", err)
	}
	// Somebody who says nothing keeps nobody from ending.
	mute, err := net.Dial("unix", filepath.Join(dir, controlFile))
	if err != nil {
		t.Fatal(err)
	}
	before := time.Now()
	c.Close()
	if d := time.Since(before); d > 5*time.Second {
		t.Errorf("closing took %v", d)
	}
	slow.Close()
	mute.Close()
	if _, ok, _ := askControl(dir, "word"); ok {
		t.Error("a closed socket answers")
	}
}

// While the service runs, a backup is asked of it, and is a whole one.
func TestBackupWhileServing(t *testing.T) {
	c := newCrewChat(t)
	data := t.TempDir()
	s := startServe(t, "--data", data, "--config", c.settings())
	c.turn("the command", func() {
		c.fake.Wait("the program", 30*time.Second, func() bool { return len(c.fake.Calls("apps.connections.open")) > 0 })
		time.Sleep(100 * time.Millisecond)
		c.fake.Slash(dana, crewRoom, "new OR-4, Otter Run")
	})
	file, place := filepath.Join(t.TempDir(), "b.tar"), filepath.Join(t.TempDir(), "new")
	did := func(want int, args ...string) string {
		t.Helper()
		var out bytes.Buffer
		if code := run(context.Background(), args, streams{strings.NewReader(""), &out, &out}); code != want {
			t.Fatalf("%v: exit %d, want %d: %s", args, code, want, out.String())
		}
		return out.String()
	}
	did(exitCouldNotRun, "bores", "--data", data) // it has the folder
	if out := did(exitFine, "backup", file, "--data", data, "--json"); !strings.Contains(out, `"online": true`) {
		t.Errorf("the service was not asked: %s", out)
	}
	if left, err := filepath.Glob(filepath.Join(data, snapshotFolder+"*")); err != nil || len(left) > 0 {
		t.Errorf("left in the folder: %v, %v", left, err)
	}
	s.stop()
	if err := <-s.done; err != nil {
		t.Fatalf("%v\n%s", err, s.out)
	}
	if out := did(exitFine, "restore", file, "--data", place); !strings.Contains(out, "RESTORED") {
		t.Error(out)
	}
	did(exitFine, "verify", "--data", place)
	if _, err := os.Stat(filepath.Join(place, "mail.db")); err != nil {
		t.Error(err)
	}
}
