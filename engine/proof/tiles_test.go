package proof

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/transparency-dev/merkle/rfc6962"
	"github.com/transparency-dev/tessera/api"
	"github.com/transparency-dev/tessera/client"
	"github.com/transparency-dev/tessera/fsck"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// long is a log of n records, of which only the first means anything.
func long(t testing.TB, n int64) (*memory, note.Signer, string) {
	t.Helper()
	s, public := testKey(t, 1)
	m := &memory{}
	for i := range n {
		r := ledger.Record{V: ledger.Version, Seq: i, Key: fmt.Sprint(i), Kind: ledger.KindPerson, Logged: minute(0), At: minute(0)}
		if i == 0 {
			r.Kind, r.Log = ledger.KindStart, &ledger.LogKey{Origin: origin, Key: public}
		}
		b, err := ledger.Encode(r)
		if err != nil {
			t.Fatal(err)
		}
		hs, err := tlog.StoredHashes(i, b, m)
		if err != nil {
			t.Fatal(err)
		}
		m.recs, m.hashes = append(m.recs, b), append(m.hashes, hs...)
	}
	m.note = signed(t, m, n, s)
	return m, s, public
}

// tree is an export in memory.
type tree struct {
	files map[string][]byte
}

func exported(t testing.TB, m *memory) *tree {
	t.Helper()
	x := &tree{files: map[string][]byte{}}
	_, err := Tiles(m, func(path string, data []byte) error {
		if _, twice := x.files[path]; twice {
			t.Errorf("%s twice", path)
		}
		x.files[path] = bytes.Clone(data)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func (x *tree) write(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	for path, data := range x.files {
		path = filepath.Join(dir, filepath.FromSlash(path))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// leafHashes takes a bundle apart, by the library's own reader.
func leafHashes(bundle []byte) (out [][]byte, err error) {
	var b api.EntryBundle
	if err := b.UnmarshalText(bundle); err != nil {
		return nil, err
	}
	for _, e := range b.Entries {
		out = append(out, rfc6962.DefaultHasher.HashLeaf(e))
	}
	return out, nil
}

var errHung = errors.New("fsck hangs")

// outsideCheck has Tessera v1.0.4 check an export from its files. With few workers
// it is known to hang when all of them fail; a hang is a failure here.
func outsideCheck(t testing.TB, dir, public string) error {
	t.Helper()
	v, err := note.NewVerifier(public)
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	go func() {
		done <- fsck.New(origin, v, client.FileFetcher{Root: dir}, leafHashes, fsck.Opts{N: 64}).Check(ctx)
	}()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		return errHung
	}
}

func TestTilesOutside(t *testing.T) {
	for _, n := range []int64{1, 255, 256, 257, 70_001} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			if n > 1000 && testing.Short() {
				t.Skip("large")
			}
			m, _, public := long(t, n)
			if err := outsideCheck(t, exported(t, m).write(t), public); err != nil {
				t.Errorf("size %d: %v", n, err)
			}
		})
	}
}

// TestTilePaths: the files of a log of 70,000 records are those that the standard
// counts up (c2sp.org/tlog-tiles, Partial Tiles), and 256 are a full tile and a
// partial one above it.
func TestTilePaths(t *testing.T) {
	if testing.Short() {
		t.Skip("large")
	}
	m, _, _ := long(t, 70_000)
	count := map[string]int{}
	x := exported(t, m)
	for path := range x.files {
		switch {
		case strings.Contains(path, ".p/"):
		case strings.HasPrefix(path, "tile/"):
			count[path[:len("tile/0")]]++
		}
	}
	if count["tile/0"] != 273 || count["tile/1"] != 1 || count["tile/e"] != 273 {
		t.Errorf("full tiles: %v", count)
	}
	for path, size := range map[string]int{
		"tile/0/273.p/112": 112 * 32, "tile/1/001.p/17": 17 * 32, "tile/2/000.p/1": 32, "tile/0/272": 8192, "tile/1/000": 8192, "tile/entries/000": 0,
		"tile/entries/273.p/112": 0, "checkpoint": 0,
	} {
		data, ok := x.files[path]
		if !ok || size > 0 && len(data) != size {
			t.Errorf("%s has %d bytes, want %d", path, len(data), size)
		}
	}
	m, _, _ = long(t, 256)
	var paths []string
	for path := range exported(t, m).files {
		paths = append(paths, path)
	}
	slices.Sort(paths)
	if want := "[checkpoint tile/0/000 tile/1/000.p/1 tile/entries/000]"; fmt.Sprint(paths) != want {
		t.Errorf("%v, want %s", paths, want)
	}
	if p := tilePath(tlog.Tile{H: 8, L: 0, N: 1234067, W: 256}); p != "tile/0/x001/x234/067" {
		t.Errorf("index 1234067 is at %s", p)
	}
}

// TestTamperedTiles: what is changed in an export, Tessera finds.
func TestTamperedTiles(t *testing.T) {
	m, s, public := long(t, 700)
	other, _ := testKey(t, 2)
	cases := []struct {
		name, path string
		do         func(b []byte) []byte
	}{
		{"entry", "tile/entries/001", func(b []byte) []byte { b[40] ^= 1; return b }},
		{"entry in a partial bundle", "tile/entries/002.p/188", func(b []byte) []byte { b[len(b)-3] ^= 1; return b }},
		{"tile", "tile/0/001", func(b []byte) []byte { b[77] ^= 1; return b }},
		{"tile above", "tile/1/000.p/2", func(b []byte) []byte { b[3] ^= 1; return b }},
		{"bundle cut short", "tile/entries/000", func(b []byte) []byte { return b[:len(b)-90] }},
		{"bundle in another's place", "tile/entries/000", func([]byte) []byte { return exported(t, m).files["tile/entries/001"] }},
		{"root in the checkpoint", "checkpoint", func([]byte) []byte { return must(ledger.Checkpoint{Origin: origin, Size: 700}.Sign(s)) }},
		{"checkpoint of another key", "checkpoint", func([]byte) []byte { return signed(t, m, 700, other) }},
		{"checkpoint of a shorter log", "checkpoint", func([]byte) []byte { return signed(t, m, 699, other) }},
	}
	for _, tt := range cases {
		t.Run(tt.name, func(t *testing.T) {
			x := exported(t, m)
			if x.files[tt.path] == nil {
				t.Fatalf("there is no %s", tt.path)
			}
			x.files[tt.path] = tt.do(x.files[tt.path])
			err := outsideCheck(t, x.write(t), public)
			if err == nil || errors.Is(err, errHung) {
				t.Errorf("%v", err)
			}
		})
	}
}

// TestTilesRefuse: a damaged ledger is not exported.
func TestTilesRefuse(t *testing.T) {
	for name, do := range map[string]func(m *memory){
		"record":     func(m *memory) { m.recs[5] = m.recs[6] },
		"leaf hash":  func(m *memory) { m.hashes[tlog.StoredHashIndex(0, 5)][0] ^= 1 },
		"root":       func(m *memory) { m.hashes[tlog.StoredHashIndex(8, 0)][0] ^= 1 },
		"checkpoint": func(m *memory) { m.note[0] ^= 1 },
		"end":        func(m *memory) { m.recs = m.recs[:250] },
		"start":      func(m *memory) { m.recs = m.recs[1:] },
	} {
		t.Run(name, func(t *testing.T) {
			m, _, _ := long(t, 300)
			do(m)
			var last string
			_, err := Tiles(m, func(path string, _ []byte) error { last = path; return nil })
			if err == nil || last == "checkpoint" {
				t.Errorf("exported up to %q, %v", last, err)
			}
		})
	}
}

func TestContinues(t *testing.T) {
	m, s, _ := long(t, 300)
	other, _ := testKey(t, 2)
	if err := Continues(m, signed(t, m, 77, s)); err != nil {
		t.Error(err)
	}
	for name, old := range map[string][]byte{
		"another key": signed(t, m, 77, other), "another log": must(ledger.Checkpoint{Origin: origin, Size: 77}.Sign(s)),
		"nothing": nil, "longer": must(ledger.Checkpoint{Origin: origin, Size: 301}.Sign(s)),
	} {
		if Continues(m, old) == nil {
			t.Errorf("%s: continued", name)
		}
	}
}
