package desk

import (
	"bytes"
	"io/fs"
	"testing"
	"time"
)

// Whatever comes: it is refused, or it is the one bundle that the key has signed.
func FuzzUnseal(f *testing.F) {
	bundle, want := sealed(f)
	_, v := keyPair(f, yard)
	f.Add(bundle)
	f.Add(bundle[:len(bundle)/2])
	f.Add([]byte("PK\x05\x06"))
	f.Add([]byte{})
	for i := 0; i < len(bundle); i += 97 {
		b := bytes.Clone(bundle)
		b[i] ^= 1
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		c, err := Unseal(b, v, "x")
		if err != nil {
			return
		}
		if c.Sum != want.Sum || sumOf(c.files) != want.Sum || !c.Publication.Same(want.Publication) {
			t.Fatalf("a forgery was taken: %+v", c)
		}
	})
}

// An archive that is taken holds plain paths within the bounds, once each, and
// packs again to the same files.
func FuzzUnpack(f *testing.F) {
	bundle, c := sealed(f)
	archive, err := c.Archive()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(archive)
	f.Add(bundle)
	f.Add(archive[1:])
	f.Fuzz(func(t *testing.T, b []byte) {
		files, _, err := unpack(b)
		if err != nil {
			return
		}
		size := 0
		for i, file := range files {
			if size += len(file.data); misplaced(file.path) != "" || !fs.ValidPath(file.path) || i > 0 && files[i-1].path >= file.path {
				t.Fatalf("%q was taken", file.path)
			}
		}
		if size > MaxPack || len(files) > MaxFiles {
			t.Fatal("beyond the bounds")
		}
		again, err := pack(files)
		if err != nil {
			t.Fatal(err)
		}
		back, _, err := unpack(again)
		if err != nil || sumOf(back) != sumOf(files) {
			t.Fatalf("%v", err)
		}
	})
}

// What is taken for a publication is written the same way again.
func FuzzPublication(f *testing.F) {
	raw, err := Publication{Serial: 3, Sum: sumOf(nil), By: "Alma Ruiz", Why: "más <espacio>", At: noon, RollbackOf: 1}.encode()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(raw)
	f.Add(bytes.Replace(raw, []byte("3"), []byte("3e0"), 1))
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := parsePublication(b)
		if err != nil {
			return
		}
		if again, err := p.encode(); err != nil || !bytes.Equal(again, b) || p.check() != nil {
			t.Fatalf("%s, %v", again, err)
		}
	})
}

// A manifest is one text for one meaning.
func FuzzManifest(f *testing.F) {
	f.Add(manifestOf(Publication{Serial: 1, Sum: sumOf(nil), At: noon}, nil, time.Time{}).String())
	f.Add(manifestOf(Publication{Serial: 1, Sum: sumOf(nil), At: noon}, nil, day(5)).String())
	f.Fuzz(func(t *testing.T, text string) {
		if m, err := parseManifest(text); err == nil && m.String() != text {
			t.Fatalf("%q", m.String())
		}
	})
}
