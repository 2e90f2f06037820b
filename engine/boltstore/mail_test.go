package boltstore

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"firstrod/engine"
)

func openMail(t *testing.T, dir string) *Mail {
	t.Helper()
	m, err := OpenMail(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { m.Close() })
	return m
}

func all(t testing.TB, m *Mail, prefix string) map[string]string {
	t.Helper()
	got := map[string]string{}
	last := ""
	err := m.Each(context.Background(), prefix, func(key string, value []byte) error {
		if key <= last {
			t.Errorf("%q comes after %q", key, last)
		}
		last, got[key] = key, string(value)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// Whatever is applied, the table is what a map would be, also after it was
// closed and opened.
func TestMailIsAMap(t *testing.T) {
	dir := t.TempDir()
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		sub := filepath.Join(dir, fmt.Sprint(n))
		if err := os.Mkdir(sub, 0o700); err != nil {
			t.Fatal(err)
		}
		m, err := OpenMail(sub)
		if err != nil {
			t.Fatal(err)
		}
		want := map[string]string{}
		key := rapid.StringMatching(`[ab]/[0-9]`)
		for range rapid.IntRange(1, 5).Draw(t, "changes") {
			puts := rapid.MapOf(key, rapid.SliceOf(rapid.Byte())).Draw(t, "puts")
			deletes := rapid.SliceOf(key).Draw(t, "deletes")
			if err := m.Apply(context.Background(), puts, deletes); err != nil {
				t.Fatal(err)
			}
			for _, k := range deletes {
				delete(want, k)
			}
			for k, v := range puts {
				want[k] = string(v)
			}
		}
		if err := m.Close(); err != nil {
			t.Fatal(err)
		}
		if m, err = OpenMail(sub); err != nil {
			t.Fatal(err)
		}
		defer m.Close()
		got := map[string]string{}
		err = m.Each(context.Background(), "", func(key string, value []byte) error { got[key] = string(value); return nil })
		if err != nil || !maps.Equal(got, want) {
			t.Fatalf("%v %v, want %v", err, got, want)
		}
	})
}

func TestMailBelongsToOneProcess(t *testing.T) {
	dir := t.TempDir()
	openMail(t, dir)
	if _, err := OpenMail(dir); engine.KindOf(err) != engine.Busy {
		t.Errorf("%v", err)
	}
}

func TestMailIsReadInPagesAndMayBeChangedMeanwhile(t *testing.T) {
	m := openMail(t, t.TempDir())
	puts := map[string][]byte{"b/": []byte("x")}
	for i := range 2*page + 7 {
		puts[fmt.Sprintf("a/%06d", i)] = []byte("y")
	}
	if err := m.Apply(t.Context(), puts, nil); err != nil {
		t.Fatal(err)
	}
	if got := all(t, m, "a/"); len(got) != 2*page+7 {
		t.Errorf("%d keys", len(got))
	}
	stop := errors.New("enough")
	seen := 0
	err := m.Each(t.Context(), "a/", func(key string, _ []byte) error {
		if seen++; seen == page+2 {
			return stop
		}
		return m.Apply(t.Context(), nil, []string{key})
	})
	if !errors.Is(err, stop) || len(all(t, m, "a/")) != page+6 {
		t.Errorf("%v, %d left", err, len(all(t, m, "a/")))
	}
}

func TestMailManyAtOnce(t *testing.T) {
	m := openMail(t, t.TempDir())
	var work sync.WaitGroup
	for i := range 64 {
		work.Go(func() {
			if err := m.Apply(t.Context(), map[string][]byte{fmt.Sprintf("%03d", i): []byte("v")}, nil); err != nil {
				t.Error(err)
			}
		})
	}
	work.Wait()
	if keys := slices.Sorted(maps.Keys(all(t, m, ""))); len(keys) != 64 {
		t.Errorf("%d keys", len(keys))
	}
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	if err := m.Apply(t.Context(), map[string][]byte{"x": nil}, nil); engine.KindOf(err) != engine.Storage {
		t.Errorf("closed: %v", err)
	}
	if _, found, err := m.Get(t.Context(), "x"); found || engine.KindOf(err) != engine.Storage {
		t.Errorf("closed: %v", err)
	}
}
