package boltstore

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"firstrod/engine"
)

// png is the start of a PNG file (RFC 2083, section 3.1) and some bytes.
var png = append([]byte("\x89PNG\r\n\x1a\n"), "picture"...)

func TestShelf(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	f, err := s.Keep(t.Context(), `..\..\etc/pass<wd>.png`, bytes.NewReader(png))
	if err != nil || f.Type != "image/png" || f.Size != int64(len(png)) || strings.ContainsAny(f.Name, `/\<>`) {
		t.Fatalf("%+v %v", f, err)
	}
	if again, err := s.Keep(t.Context(), "x.png", bytes.NewReader(png)); err != nil || again.Sum != f.Sum {
		t.Errorf("%+v %v", again, err)
	}
	if data, err := s.Kept(t.Context(), f.Sum); err != nil || !bytes.Equal(data, png) {
		t.Errorf("%q %v", data, err)
	}
	path := filepath.Join(dir, "evidence", f.Sum)
	if err := os.WriteFile(path, append(png, 'x'), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Kept(t.Context(), f.Sum); engine.KindOf(err) != engine.Damaged {
		t.Errorf("a changed file: %v", err)
	}
	if _, err := s.Keep(t.Context(), "x.png", bytes.NewReader(png)); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Kept(t.Context(), f.Sum); err != nil {
		t.Errorf("given again, a changed file is whole again: %v", err)
	}
	for _, sum := range []string{"", "../log.key", strings.Repeat("0", 64), strings.Repeat("G", 64)} {
		if _, err := s.Kept(t.Context(), sum); engine.KindOf(err) != engine.NotFound {
			t.Errorf("%q: %v", sum, err)
		}
	}
}

func TestShelfRefuses(t *testing.T) {
	s, err := Open(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for name, data := range map[string][]byte{
		"empty.png": nil, "page.png": []byte("<html><script>x</script>"), "run.jpg": []byte("#!/bin/sh\nrm -rf /"),
		"big.png": append(bytes.Clone(png), make([]byte, MaxFile)...),
	} {
		if _, err := s.Keep(t.Context(), name, bytes.NewReader(data)); engine.KindOf(err) != engine.Usage {
			t.Errorf("%s: %v", name, err)
		}
	}
}
