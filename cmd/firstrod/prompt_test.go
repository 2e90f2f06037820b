package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
)

// BenchmarkFirstPrompt is the built program from its start to the first
// question, on an empty ledger and on one of 100,000 records. Build it first:
// the benchmark builds it itself, outside the measured time.
func BenchmarkFirstPrompt(b *testing.B) {
	program := filepath.Join(b.TempDir(), "firstrod")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	for _, records := range []int{0, 100_000} {
		b.Run(fmt.Sprintf("records=%d", records), func(b *testing.B) {
			data := filepath.Join(b.TempDir(), "data")
			if records > 0 {
				fill(b, data, records)
			}
			b.ResetTimer()
			for b.Loop() {
				firstPrompt(b, program, data)
			}
		})
	}
}

func firstPrompt(b *testing.B, program, data string) {
	cmd := exec.Command(program, "chat", "--data", data)
	in, err := cmd.StdinPipe()
	if err != nil {
		b.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() && !strings.Contains(lines.Text(), "Who is speaking") {
	}
	b.StopTimer()
	in.Close()
	io.Copy(io.Discard, out)
	_ = cmd.Wait() // the input ended early: status 3
	b.StartTimer()
}

// fill makes a ledger of about n records: bores of fifty answers each.
func fill(b *testing.B, dir string, n int) {
	s, err := boltstore.Open(dir, boltstore.Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	const each, writers = 50, 64
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for bore := w; bore < n/each; bore += writers {
				for v := range each {
					if _, err := s.Append(context.Background(), entry(bore, v)); err != nil {
						b.Error(err)
						return
					}
				}
			}
		})
	}
	wg.Wait()
}

func entry(bore, v int) ledger.Entry {
	id := fmt.Sprintf("B-%d", bore)
	r := ledger.Record{
		V: 1, Key: fmt.Sprintf("%s/%d", id, v), Kind: ledger.KindAnswer, At: time.Now().UTC(),
		Bore: id, Ver: int64(v + 1), State: "open", Typed: "34 ft",
		Facts: []ledger.Fact{{Key: "metal_distance", Kind: "length", Typed: "34 ft", Value: "10363200", Unit: "um"}},
	}
	if v == 0 {
		r.Kind, r.Facts, r.Open = ledger.KindOpen, nil, &ledger.Opening{Title: id, Zone: "America/Phoenix"}
	}
	return ledger.Entry{Record: r}
}
