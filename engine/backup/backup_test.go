package backup_test

import (
	"archive/tar"
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"firstrod/engine/backup"
)

const note = "firstrod.local/5f2c9a1e77aa03b4\n3\nn3p3wSk6n3p3wSk6n3p3wSk6n3p3wSk6n3p3wSk6n3o=\n\nsigned elsewhere\n"

// made is a small backup, with a file of evidence and a key.
func made(t *testing.T) []byte {
	t.Helper()
	dir := t.TempDir()
	var files []backup.File
	photo := "not really a photo"
	for _, f := range [][2]string{
		{backup.Ledger, strings.Repeat("ledger ", 1000)}, {backup.Mail, "mail"},
		{backup.Evidence + fmt.Sprintf("%x", sha256.Sum256([]byte(photo))), photo},
		{backup.Evidence + strings.Repeat("f", 64), "changed on the disk"}, {backup.Key, "secret"},
	} {
		path := filepath.Join(dir, fmt.Sprint(len(files)))
		if err := os.WriteFile(path, []byte(f[1]), 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, backup.File{Name: f[0], Path: path})
	}
	var b bytes.Buffer
	if err := backup.Write(t.Context(), &b, []byte(note), files); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func check(t *testing.T, raw []byte) (backup.Contents, error) {
	return backup.Check(t.Context(), bytes.NewReader(raw), int64(len(raw)))
}

// A backup has what was put in, and tar and sha256sum of GNU read it as well.
func TestThereAndBack(t *testing.T) {
	raw, dir := made(t), t.TempDir()
	c, err := backup.Unpack(t.Context(), bytes.NewReader(raw), int64(len(raw)), dir)
	if err != nil || c.Size != 3 || !c.Key || c.Evidence != 2 || len(c.Changed) != 1 || c.Changed[0] != strings.Repeat("f", 64) {
		t.Errorf("%+v, %v", c, err)
	}
	if b, err := os.ReadFile(filepath.Join(dir, backup.Key)); err != nil || string(b) != "secret" {
		t.Errorf("%q, %v", b, err)
	}
	other := t.TempDir()
	cmd := exec.Command("sh", "-c", "tar -xf - && sha256sum -c --strict SHA256SUMS")
	cmd.Dir, cmd.Stdin = other, bytes.NewReader(raw)
	if out, err := cmd.CombinedOutput(); err != nil || strings.Count(string(out), ": OK") != 7 {
		t.Errorf("%v\n%s", err, out)
	}
}

// Cut anywhere, it is none.
func TestEveryCutIsNoticed(t *testing.T) {
	raw := made(t)
	for n := 0; n < len(raw); n += 97 {
		if _, err := check(t, raw[:n]); !errors.Is(err, backup.ErrBackup) {
			t.Fatalf("cut at %d of %d: %v", n, len(raw), err)
		}
	}
	if _, err := check(t, append(bytes.Clone(raw), make([]byte, 512)...)); !errors.Is(err, backup.ErrBackup) {
		t.Errorf("something follows: %v", err)
	}
}

// One bit flipped is noticed, or changes nothing that is taken out: tar's headers
// have fields, such as times and owners, that a backup does not use.
func TestEveryFlipIsNoticed(t *testing.T) {
	raw := made(t)
	missed := 0
	for at := 0; at < len(raw); at += 13 {
		bad := bytes.Clone(raw)
		bad[at] ^= 1 << (at % 8)
		_, err := check(t, bad)
		if err == nil {
			missed++
			if !bytes.Equal(contents(t, bad), contents(t, raw)) {
				t.Fatalf("a flip at %d changes what is taken out and is not noticed", at)
			}
		}
	}
	t.Logf("%d of %d flips change nothing", missed, len(raw)/13)
}

// contents is all names and bytes, as tar reads them.
func contents(t *testing.T, raw []byte) []byte {
	t.Helper()
	var all bytes.Buffer
	r := tar.NewReader(bytes.NewReader(raw))
	for {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return all.Bytes()
		}
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintln(&all, h.Name, h.Size)
		if _, err := io.Copy(&all, r); err != nil {
			t.Fatal(err)
		}
	}
}

// entry is a file in a tar that somebody else made.
type entry struct {
	h    tar.Header
	data string
}

func foreign(t *testing.T, all ...entry) []byte {
	t.Helper()
	var b bytes.Buffer
	w := tar.NewWriter(&b)
	for _, e := range all {
		e.h.Mode, e.h.Size = 0o600, int64(len(e.data))
		if err := w.WriteHeader(&e.h); err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, e.data); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Names that lead elsewhere, links, devices and files of no end are refused before
// anything of them is written.
func TestTricksAreRefused(t *testing.T) {
	file := func(name string) tar.Header { return tar.Header{Name: name, Typeflag: tar.TypeReg} }
	sum := strings.Repeat("a", 64)
	for name, e := range map[string]entry{
		"up":         {file("../ledger.db"), "x"},
		"absolute":   {file("/etc/passwd"), "x"},
		"within":     {file("evidence/../../x"), "x"},
		"dot":        {file("./ledger.db"), "x"},
		"other name": {file("control.sock"), "x"},
		"restored":   {file("restored.json"), "{}"},
		"not a sum":  {file("evidence/" + strings.ToUpper(sum)), "x"},
		"link":       {tar.Header{Name: backup.Ledger, Typeflag: tar.TypeSymlink, Linkname: "/etc/passwd"}, ""},
		"hard link":  {tar.Header{Name: backup.Ledger, Typeflag: tar.TypeLink, Linkname: backup.Key}, ""},
		"folder":     {tar.Header{Name: "evidence/", Typeflag: tar.TypeDir}, ""},
		"device":     {tar.Header{Name: backup.Ledger, Typeflag: tar.TypeChar}, ""},
		"attributes": {tar.Header{Name: backup.About, Typeflag: tar.TypeReg, Format: tar.FormatPAX, PAXRecords: map[string]string{"SCHILY.xattr.user.x": "y"}}, "{}"},
		"large":      {file(backup.About), strings.Repeat(" ", 2<<20)},
	} {
		raw, dir := foreign(t, e), t.TempDir()
		_, err := backup.Unpack(t.Context(), bytes.NewReader(raw), int64(len(raw)), dir)
		left, _ := os.ReadDir(dir)
		if !errors.Is(err, backup.ErrBackup) || len(left) > 0 {
			t.Errorf("%s: %v, left %v", name, err, left)
		}
	}
}

// A file with holes says that it is far larger than what carries it. GNU tar makes
// one of 1 TiB in 10 KiB.
func TestHolesAreRefused(t *testing.T) {
	dir := t.TempDir()
	f, err := os.Create(filepath.Join(dir, backup.About))
	if err != nil {
		t.Fatal(err)
	}
	f.Truncate(1 << 40)
	f.Close()
	for _, format := range []string{"gnu", "pax"} {
		cmd := exec.Command("tar", "--sparse", "--format="+format, "-cf", "-", backup.About)
		cmd.Dir = dir
		raw, err := cmd.Output()
		if err != nil || len(raw) > 1<<20 {
			t.Fatalf("%d bytes, %v", len(raw), err)
		}
		if _, err := check(t, raw); !errors.Is(err, backup.ErrBackup) {
			t.Errorf("%s: %v", format, err)
		}
	}
}

func TestOrderAndParts(t *testing.T) {
	file := func(name, data string) entry { return entry{tar.Header{Name: name, Typeflag: tar.TypeReg}, data} }
	about := file(backup.About, `{"form":"firstrod backup 1"}`)
	for name, all := range map[string][]entry{
		"nothing":      {},
		"twice":        {about, about},
		"out of order": {file(backup.Ledger, "x"), about},
		"no ledger":    {about, file(backup.Sums, fmt.Sprintf("%x  about.json\n", sha256.Sum256([]byte(about.data))))},
		"other form":   {file(backup.About, `{"form":"something"}`)},
		"no sums":      {about, file(backup.Checkpoint, note), file(backup.Ledger, "x")},
	} {
		if _, err := check(t, foreign(t, all...)); !errors.Is(err, backup.ErrBackup) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzCheck(f *testing.F) {
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, raw []byte) {
		if _, err := check(t, raw); err == nil && !bytes.Contains(raw, []byte(backup.Form)) {
			t.Error("something that is no backup is taken for one")
		}
	})
}
