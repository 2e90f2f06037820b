package boltstore

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"strings"
	"syscall"
	"testing"

	"firstrod/engine"
	"firstrod/engine/enginetest"
)

// child is this test program run again as another process.
func child(role string) int {
	name, dir, _ := strings.Cut(role, ":")
	if name == "limited" {
		signal.Ignore(syscall.SIGXFSZ)
		limit := syscall.Rlimit{Cur: 20 << 20, Max: 20 << 20}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 2
		}
	}
	if name == "compacting" {
		return compacting(dir)
	}
	s, err := Open(dir, Options{})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 2
	}
	if name == "limited" {
		return limited(s)
	}
	if name == "rotating" {
		return rotating(s)
	}
	err = enginetest.WriteAcks(s, os.Stdout, fmt.Sprint("p", os.Getpid()), 16, 0, 100)
	fmt.Fprintln(os.Stderr, err)
	return 3
}

// compacting compacts again and again, until it is killed.
func compacting(dir string) int {
	fmt.Println("begun")
	for {
		if _, err := Compact(dir); err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 2
		}
	}
}

// rotating changes the key again and again, until it is killed.
func rotating(s *Store) int {
	fmt.Println("begun")
	for i := 0; ; i++ {
		if _, err := s.Rotate(context.Background(), rotationRecord(fmt.Sprint("rotate ", os.Getpid(), i))); err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 2
		}
	}
}

// limited writes until the file may not grow, and looks how the store takes it.
func limited(s *Store) int {
	err := enginetest.WriteAcks(s, os.Stdout, "p", 4, 0, 60_000)
	if engine.KindOf(err) != engine.Storage || errors.Is(err, ErrDiskFull) {
		fmt.Fprintln(os.Stderr, "want the store to stop, got", err)
		return 4
	}
	select {
	case <-s.Failed():
	default:
		fmt.Fprintln(os.Stderr, "failure is not signalled")
		return 5
	}
	if err := enginetest.WriteAcks(s, os.Stdout, "q", 1, 1, 1); engine.KindOf(err) != engine.Storage {
		fmt.Fprintln(os.Stderr, "a stopped store takes an entry:", err)
		return 6
	}
	return 0
}

func childCommand(t *testing.T, role, dir string) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe, "-test.run=^$")
	cmd.Env = append(os.Environ(), "BOLTSTORE_TEST_CHILD="+role+":"+dir)
	cmd.Stderr = os.Stderr
	return cmd
}

// TestKill: 20 kills under 16 writers lose nothing that was acknowledged, and
// each log continues the one before. See the package comment for what this
// does not show.
func TestKill(t *testing.T) {
	rounds := 20
	if testing.Short() {
		rounds = 3
	}
	dir := t.TempDir()
	var (
		all  []enginetest.Ack
		pins [][]byte
	)
	enginetest.KillLoop(t, rounds,
		func(int) *exec.Cmd { return childCommand(t, "killed", dir) },
		func(_ int, acks []enginetest.Ack) {
			all = append(all, acks...)
			s, err := Open(dir, Options{})
			if err != nil {
				t.Fatal(err)
			}
			_, note := s.Checkpoint()
			pins = append(pins, note)
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
		})
	s := open(t, dir)
	enginetest.CheckAcks(t, s, all)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	sum := clean(t, dir, pins...)
	t.Logf("%d kills, %d acknowledged, %d in the log", rounds, len(all), sum.Size)
	if len(all) == 0 || !sum.Anchored {
		t.Error("nothing was tested")
	}
}

// TestFileLimit: a file that may not grow stops the store and loses nothing.
func TestFileLimit(t *testing.T) {
	dir := t.TempDir()
	out, err := childCommand(t, "limited", dir).Output()
	if err != nil {
		t.Fatalf("%v", err)
	}
	acks := enginetest.ReadAcks(strings.NewReader(string(out)))
	if len(acks) < 50 {
		t.Fatalf("only %d entries were written", len(acks))
	}
	s := open(t, dir)
	enginetest.CheckAcks(t, s, acks)
	e := enginetest.Answer("after", 1, "after")
	if _, err := s.Append(t.Context(), e); err != nil {
		t.Errorf("the next run cannot write: %v", err)
	}
}
