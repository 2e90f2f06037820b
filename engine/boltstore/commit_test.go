package boltstore

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/enginetest"
)

// openWith opens a store with options of its own.
func openWith(t *testing.T, dir string, o Options) *Store {
	t.Helper()
	s, err := Open(dir, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// TestCommitFails fails the k-th commit, before and after it took place: from
// then on the store takes and shows nothing, and the next run has all that was
// acknowledged.
func TestCommitFails(t *testing.T) {
	bad := errors.New("input/output error")
	hooks := map[string]func(func() error) error{
		"before": func(func() error) error { return bad },
		"after":  func(commit func() error) error { return errors.Join(commit(), bad) },
		"panic":  func(func() error) error { panic("page out of range") },
	}
	for when, hook := range hooks {
		for k := range 4 {
			t.Run(fmt.Sprintf("%s %d", when, k), func(t *testing.T) {
				dir, n := t.TempDir(), 0
				s := openWith(t, dir, Options{testOnlyCommit: func(commit func() error) error {
					if n++; n > k {
						return hook(commit)
					}
					return commit()
				}})
				var acks []enginetest.Ack
				var err error
				for i := range int64(k + 1) {
					r, aerr := s.Append(t.Context(), enginetest.Answer("b1", i+1, fmt.Sprint(i)))
					if err = aerr; err == nil {
						acks = append(acks, enginetest.Ack{Seq: r.Seq, Leaf: r.Leaf, Key: fmt.Sprint(i)})
					}
				}
				wantKind(t, err, engine.Storage)
				if len(acks) != k {
					t.Fatalf("%d acknowledged, want %d", len(acks), k)
				}
				stopped(t, s)
				if err := s.Close(); err != nil {
					t.Fatal(err)
				}
				again := open(t, dir)
				enginetest.CheckAcks(t, again, acks)
				// Asking again is how a caller finds out.
				r, err := again.Append(t.Context(), enginetest.Answer("b1", int64(k)+1, fmt.Sprint(k)))
				if err != nil || r.Seq != int64(k)+1 || r.Repeated != (when == "after") {
					t.Errorf("asked again: %+v, %v", r, err)
				}
			})
		}
	}
}

// stopped wants a store that has failed to refuse everything.
func stopped(t *testing.T, s *Store) {
	t.Helper()
	select {
	case <-s.Failed():
	case <-time.After(5 * time.Second):
		t.Fatal("failure is not signalled")
	}
	_, err := s.Append(t.Context(), enginetest.Answer("b2", 1, "later"))
	wantKind(t, err, engine.Storage)
	if errors.Is(err, ErrDiskFull) {
		t.Error("says that there is no room")
	}
	_, err = s.Bores(t.Context(), 1)
	wantKind(t, err, engine.Storage)
}

// TestDiskFull: too little room refuses entries and stops nothing.
func TestDiskFull(t *testing.T) {
	var mu sync.Mutex
	free := int64(1 << 40)
	set := func(n int64) { mu.Lock(); free = n; mu.Unlock() }
	s := openWith(t, t.TempDir(), Options{testOnlyFree: func(string) (int64, error) {
		mu.Lock()
		defer mu.Unlock()
		if free < 0 {
			return 0, errors.New("no such folder")
		}
		return free, nil
	}})
	size := s.Size()
	for _, n := range []int64{0, defaultMinFree - 1, -1} {
		set(n)
		_, err := s.Append(t.Context(), enginetest.Answer("b1", 1, "one"))
		wantKind(t, err, engine.Storage)
		if !errors.Is(err, ErrDiskFull) || s.Size() != size {
			t.Errorf("%v, size %d", err, s.Size())
		}
	}
	// What is stored beside a record needs room as well.
	set(defaultMinFree + 1<<20)
	e := enginetest.Answer("b1", 1, "one")
	e.Blobs = [][]byte{make([]byte, 1<<20)}
	if _, err := s.Append(t.Context(), e); !errors.Is(err, ErrDiskFull) {
		t.Error(err)
	}
	set(defaultMinFree)
	if _, err := s.Append(t.Context(), enginetest.Answer("b1", 1, "one")); err != nil {
		t.Error(err)
	}
	if _, err := s.Bores(t.Context(), 1); err != nil {
		t.Error(err)
	}
}

func TestMaxSize(t *testing.T) {
	s := openWith(t, t.TempDir(), Options{MaxSize: growth})
	if _, err := s.Append(t.Context(), enginetest.Answer("b1", 1, "one")); !errors.Is(err, ErrDiskFull) {
		t.Error(err)
	}
}

func TestFreeSpace(t *testing.T) {
	if n, err := freeSpace(t.TempDir()); err != nil || n <= 0 {
		t.Errorf("%d, %v", n, err)
	}
	if _, err := freeSpace("/no/such/folder"); err == nil {
		t.Error("there is room in a folder that is not there")
	}
}

// TestCancelledWhileQueued: while one commit is held up a second entry waits,
// and its caller gives up: it is not written. A third gives up after it was
// taken: it gets the outcome all the same.
func TestCancelledWhileQueued(t *testing.T) {
	dir, held, free := t.TempDir(), make(chan struct{}), make(chan struct{})
	s := openWith(t, dir, Options{testOnlyCommit: func(commit func() error) error {
		held <- struct{}{}
		<-free
		return commit()
	}})
	ctx, cancel := context.WithCancel(t.Context())
	first := make(chan error, 1)
	go func() {
		_, err := s.Append(ctx, enginetest.Answer("b1", 1, "taken"))
		first <- err
	}()
	<-held
	second := make(chan error, 1)
	go func() {
		_, err := s.Append(ctx, enginetest.Answer("b2", 1, "queued"))
		second <- err
	}()
	for len(s.queue) == 0 {
		time.Sleep(time.Millisecond)
	}
	cancel()
	if err := <-second; !errors.Is(err, context.Canceled) {
		t.Errorf("queued: %v", err)
	}
	free <- struct{}{}
	if err := <-first; err != nil {
		t.Errorf("taken: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if sum := clean(t, dir); sum.Size != 2 {
		t.Errorf("size %d, want 2", sum.Size)
	}
}

// TestCloseWhileBusy: every caller gets an answer, and what was answered well
// is there.
func TestCloseWhileBusy(t *testing.T) {
	for range 10 {
		dir := t.TempDir()
		s := openWith(t, dir, Options{})
		var (
			mu   sync.Mutex
			acks []enginetest.Ack
			wg   sync.WaitGroup
		)
		for w := range 16 {
			wg.Go(func() {
				for i := int64(1); ; i++ {
					key := fmt.Sprintf("%d/%d", w, i)
					r, err := s.Append(context.Background(), enginetest.Answer(fmt.Sprint("b", w), i, key))
					if err != nil {
						return
					}
					mu.Lock()
					acks = append(acks, enginetest.Ack{Seq: r.Seq, Leaf: r.Leaf, Key: key})
					mu.Unlock()
				}
			})
		}
		time.Sleep(5 * time.Millisecond)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		wg.Wait()
		enginetest.CheckAcks(t, open(t, dir), acks)
	}
}

// TestClockStepsBack: the log does not.
func TestClockStepsBack(t *testing.T) {
	dir := t.TempDir()
	at := time.Date(2026, 3, 2, 7, 0, 0, 0, time.FixedZone("there", 3600))
	clock := func() time.Time { at = at.Add(-time.Minute); return at }
	for i := range int64(3) {
		s := openWith(t, dir, Options{Clock: clock})
		if _, err := s.Append(t.Context(), enginetest.Answer("b1", i+1, fmt.Sprint(i))); err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	clean(t, dir)
}

// TestOneBadEntryInABatch holds a commit up so that a good and a bad entry
// share the next one.
func TestOneBadEntryInABatch(t *testing.T) {
	held, free := make(chan struct{}), make(chan struct{})
	s := openWith(t, t.TempDir(), Options{testOnlyCommit: func(commit func() error) error {
		held <- struct{}{}
		<-free
		return commit()
	}})
	type result struct {
		seq int64
		err error
	}
	send := func(bore string, ver int64, key string) chan result {
		out := make(chan result, 1)
		n := len(s.queue)
		go func() {
			r, err := s.Append(context.Background(), enginetest.Answer(bore, ver, key))
			out <- result{r.Seq, err}
		}()
		// The order of arrival decides who conflicts.
		for len(s.queue) == n && n >= 0 && key != "first" {
			time.Sleep(time.Millisecond)
		}
		return out
	}
	first := send("b1", 1, "first")
	<-held
	a, b, c, d := send("b1", 2, "a"), send("b1", 2, "b"), send("b1", 3, "c"), send("b9", 9, "a")
	free <- struct{}{}
	<-held
	free <- struct{}{}
	if r := <-first; r.err != nil {
		t.Error(r.err)
	}
	if r := <-a; r.err != nil || r.seq != 2 {
		t.Errorf("a: %+v", r)
	}
	if r := <-b; engine.KindOf(r.err) != engine.Conflict {
		t.Errorf("b: %+v", r)
	}
	if r := <-c; r.err != nil || r.seq != 3 {
		t.Errorf("c: %+v", r)
	}
	if r := <-d; r.err != nil || r.seq != 2 {
		t.Errorf("key a again: %+v", r)
	}
}
