package engine_test

import (
	"context"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"go.uber.org/goleak"

	"firstrod/engine"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
	"firstrod/engine/rules"
)

// memory keeps records in memory, for many bores in little time. It has no tree
// and no checkpoint.
type memory struct {
	mu    sync.Mutex
	all   []ledger.Record
	bores map[string][]int
	keys  map[string]int64
	blobs map[string][]byte
}

func newMemory() *memory {
	return &memory{bores: map[string][]int{}, keys: map[string]int64{}, blobs: map[string][]byte{}}
}

func (m *memory) Append(_ context.Context, e ledger.Entry) (ledger.Receipt, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if seq, ok := m.keys[e.Record.Key]; ok {
		return ledger.Receipt{Seq: seq, Repeated: true}, nil
	}
	r := e.Record
	if r.Bore != "" && r.Ver != int64(len(m.bores[r.Bore]))+1 {
		return ledger.Receipt{}, &engine.Error{Kind: engine.Conflict, Say: "another version"}
	}
	r.Seq, r.Logged = int64(len(m.all)), r.At
	// What is kept is what the codec would give back.
	raw, err := ledger.Encode(r)
	if err != nil {
		return ledger.Receipt{}, err
	}
	if r, err = ledger.Decode(raw); err != nil {
		return ledger.Receipt{}, err
	}
	for _, b := range e.Blobs {
		m.blobs[ledger.BlobSum(b)] = b
	}
	m.bores[r.Bore] = append(m.bores[r.Bore], len(m.all))
	m.keys[r.Key] = r.Seq
	m.all = append(m.all, r)
	return ledger.Receipt{Seq: r.Seq}, nil
}

func (m *memory) Bore(_ context.Context, id string, from int64, fn func(ledger.Record) error) error {
	m.mu.Lock()
	at := slices.Clone(m.bores[id])
	m.mu.Unlock()
	for i, n := range at {
		if int64(i)+1 < from {
			continue
		}
		m.mu.Lock()
		r := m.all[n]
		m.mu.Unlock()
		if err := fn(r); err != nil {
			return err
		}
	}
	return nil
}

func (m *memory) Bores(_ context.Context, limit int) ([]ledger.BoreLine, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var lines []ledger.BoreLine
	for id, at := range m.bores {
		if id != "" {
			last := m.all[at[len(at)-1]]
			lines = append(lines, ledger.BoreLine{Bore: id, Ver: last.Ver, Last: last.Seq, Logged: last.Logged})
		}
	}
	slices.SortFunc(lines, func(a, b ledger.BoreLine) int { return int(b.Last - a.Last) })
	if limit > 0 && len(lines) > limit {
		lines = lines[:limit]
	}
	return lines, nil
}

func (m *memory) Known(_ context.Context, key string) (int64, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	seq, ok := m.keys[key]
	return seq, ok, nil
}

func (m *memory) stream(kind ledger.Kind, fn func(ledger.Record) error) error {
	m.mu.Lock()
	all := slices.Clone(m.all)
	m.mu.Unlock()
	for _, r := range all {
		if r.Kind == kind {
			if err := fn(r); err != nil {
				return err
			}
		}
	}
	return nil
}

func (m *memory) People(_ context.Context, fn func(ledger.Record) error) error {
	return m.stream(ledger.KindPerson, fn)
}

func (m *memory) Rules(_ context.Context, fn func(ledger.Record) error) error {
	return m.stream(ledger.KindRules, fn)
}

func (m *memory) Private(context.Context, string) (string, bool, error) { return "", false, nil }

func (m *memory) Blob(_ context.Context, sum string) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.blobs[sum], nil
}

// remembered is a world whose ledger is in memory.
func remembered(tb testing.TB, m *memory, book engine.Rulebook) *world {
	tb.Helper()
	w := &world{now: start, crew: &enginetest.Crew{}}
	if t, ok := tb.(*testing.T); ok {
		w.t = t
	}
	w.boot(tb, m, book)
	return w
}

// boot starts the engine, anew if there was one.
func (w *world) boot(tb testing.TB, m *memory, book engine.Rulebook) {
	tb.Helper()
	e, err := engine.New(tb.Context(), engine.Config{
		Rules: book, Publication: engine.Publication{Serial: w.serial}, Store: m, Registry: m, Clock: func() time.Time { return w.now }, Reopen: reopened,
	})
	if err != nil {
		tb.Fatal(err)
	}
	w.engine, w.crew.Engine = e, e
}

func reopened(ctx context.Context, packs []byte, place string, day int64) (engine.Evaluator, error) {
	set, err := rules.Reopen(ctx, packs, place, day)
	if err != nil {
		return nil, err
	}
	return set, nil
}

// edited is the base pack with texts of one file replaced.
func edited(tb testing.TB, file string, pairs ...string) *rules.Set {
	tb.Helper()
	pack := basePack(tb)
	raw, err := fs.ReadFile(pack, file)
	if err != nil {
		tb.Fatal(err)
	}
	text := string(raw)
	for i := 0; i < len(pairs); i += 2 {
		if strings.Count(text, pairs[i]) != 1 {
			tb.Fatalf("%s has %q %d times", file, pairs[i], strings.Count(text, pairs[i]))
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return withFile(tb, pack, file, text)
}

// withFile is a pack with one file of another text.
func withFile(tb testing.TB, from fs.FS, file, text string) *rules.Set {
	tb.Helper()
	pack := fstest.MapFS{}
	err := fs.WalkDir(from, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(from, name)
		pack[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		tb.Fatal(err)
	}
	pack[file] = &fstest.MapFile{Data: []byte(text)}
	json, err := rules.ParamsJSON(pack["params.yaml"].Data)
	if err != nil {
		tb.Fatal(err)
	}
	pack["params.json"] = &fstest.MapFile{Data: json}
	set, err := rules.Load(tb.Context(), pack, rules.Options{Layer: "base"})
	if err != nil {
		tb.Fatal(err)
	}
	return set
}

// limit is the base with one of its limits changed.
func limit(tb testing.TB, name, was, is string) *rules.Set {
	tb.Helper()
	pack := basePack(tb)
	raw, err := fs.ReadFile(pack, "params.yaml")
	if err != nil {
		tb.Fatal(err)
	}
	head, rest, found := strings.Cut(string(raw), "\n  "+name+":\n")
	about, rest, _ := strings.Cut(rest, "    value: ")
	after, same := strings.CutPrefix(rest, strconv.Quote(was))
	if !found || !same {
		tb.Fatalf("the base has no limit %s of %s", name, was)
	}
	return withFile(tb, pack, "params.yaml", head+"\n  "+name+":\n"+about+"    value: "+strconv.Quote(is)+after)
}

func everywhere(rules engine.Evaluator) engine.Picker { return engine.Everywhere(rules).At }

func replayed(t *testing.T, m *memory, old, candidate engine.Evaluator, o engine.ReplayOptions) engine.Outcome {
	t.Helper()
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	out, err := engine.Replay(t.Context(), m, everywhere(old), everywhere(candidate), o)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// crews releases a bore for each distance to metal.
func crews(t *testing.T, m *memory, set engine.Evaluator, metal ...string) {
	t.Helper()
	w := remembered(t, m, engine.Everywhere(set))
	for i, ft := range metal {
		crew := &enginetest.Crew{Engine: w.engine, Say: map[string]string{"metal_distance": ft}}
		if _, err := crew.Release(t.Context(), fmt.Sprintf("M-%d", i+1)); err != nil {
			t.Fatal(err)
		}
	}
}

func row(out engine.Outcome, id string) engine.CheckOutcome {
	for _, c := range out.Checks {
		if c.Check.ID == id {
			return c
		}
	}
	return engine.CheckOutcome{}
}
