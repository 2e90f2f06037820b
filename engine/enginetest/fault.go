package enginetest

import (
	"bufio"
	"context"
	"encoding/hex"
	"fmt"
	"io"
	"math/rand/v2"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"firstrod/engine/ledger"
)

// Ack is one entry that a store said was durable.
type Ack struct {
	Seq  int64
	Leaf [32]byte
	Key  string
}

// WriteAcks writes entries from several writers, as fast as it can, and a line
// to out for each one the moment it is acknowledged. It ends when n are
// written (0: never) or the store gives an error, which it returns. It is for
// the process that gets killed. size is about how long each record is.
func WriteAcks(s Appender, out io.Writer, prefix string, writers, n, size int) error {
	var (
		mu   sync.Mutex
		last error
		wg   sync.WaitGroup
	)
	for w := range writers {
		wg.Go(func() {
			bore := fmt.Sprintf("%s-%d", prefix, w)
			for i := 0; n == 0 || i < n; i++ {
				key := fmt.Sprintf("%s/%d/%d", prefix, w, i)
				e := Answer(bore, int64(i)+1, key)
				e.Record.Typed = strings.Repeat("x", size)
				r, err := s.Append(context.Background(), e)
				mu.Lock()
				if err != nil {
					last = err
				} else {
					// One write for each line, so that a kill cuts at most the last.
					fmt.Fprintf(out, "ack %d %x %s\n", r.Seq, r.Leaf, key)
				}
				mu.Unlock()
				if err != nil {
					return
				}
			}
		})
	}
	wg.Wait()
	return last
}

// ReadAcks reads what WriteAcks wrote, up to a line that was cut.
func ReadAcks(r io.Reader) []Ack {
	var out []Ack
	for lines := bufio.NewScanner(r); lines.Scan(); {
		var a Ack
		var leaf string
		if n, _ := fmt.Sscanf(lines.Text(), "ack %d %64s %s", &a.Seq, &leaf, &a.Key); n != 3 {
			continue
		}
		if b, err := hex.DecodeString(leaf); err == nil && copy(a.Leaf[:], b) == len(a.Leaf) {
			out = append(out, a)
		}
	}
	return out
}

// KillLoop starts a process that writes, kills it with SIGKILL at a random
// moment after its first acknowledged entry, and calls check with what it had
// acknowledged; rounds times. It shows that the order of steps within a commit
// is right. It cannot show that anything was synced: what a killed process
// wrote is safe in the kernel. Only a power cut, or a device that forgets,
// tests that.
func KillLoop(t *testing.T, rounds int, start func(round int) *exec.Cmd, check func(round int, acks []Ack)) {
	t.Helper()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	for round := range rounds {
		cmd := start(round)
		pipe, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		first := bufio.NewReader(pipe)
		if _, err := first.Peek(1); err != nil {
			t.Errorf("round %d: the process wrote nothing: %v", round, err)
		}
		timer := time.AfterFunc(time.Duration(rng.IntN(120_000))*time.Microsecond, func() { cmd.Process.Kill() })
		acks := ReadAcks(first)
		timer.Stop()
		// It was killed: that is an error of Wait, as it should be.
		if err := cmd.Wait(); err == nil {
			t.Errorf("round %d: the process ended by itself", round)
		}
		if check(round, acks); t.Failed() {
			return
		}
	}
}

// CheckAcks looks up each acknowledged entry: at its index, with its hash.
func CheckAcks(t *testing.T, s Records, acks []Ack) {
	t.Helper()
	want := map[int64]Ack{}
	for _, a := range acks {
		want[a.Seq] = a
	}
	err := s.Records(t.Context(), 0, func(r ledger.Record) error {
		a, ok := want[r.Seq]
		if !ok {
			return nil
		}
		delete(want, r.Seq)
		b, err := ledger.Encode(r)
		if err != nil {
			return err
		}
		if r.Key != a.Key || leafHash(b) != a.Leaf {
			t.Errorf("record %d has key %q, acknowledged was %q", r.Seq, r.Key, a.Key)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for seq, a := range want {
		t.Errorf("record %d, key %q, was acknowledged and is lost", seq, a.Key)
	}
}
