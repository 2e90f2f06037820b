package boltstore

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// Evidence is kept as files in the data folder, under evidence/<SHA-256>. The
// ledger names the sum, so that a file that was changed or lost is found.

const shelfFolder = "evidence"

// MaxFile is how large one file of evidence may be, in bytes.
const MaxFile = 20 << 20

// mayBe lists what a file may be, as its own bytes show.
func mayBe() []string {
	return []string{"image/jpeg", "image/png", "image/webp", "image/gif", "application/pdf"}
}

// Keep puts a file on the shelf and says what it is. The type is sniffed from
// the bytes; what a file is called proves nothing. It gives engine.Usage for a
// file that is too large, empty, or none of the kinds that are kept.
func (s *Store) Keep(ctx context.Context, name string, r io.Reader) (ledger.File, error) {
	if err := ctx.Err(); err != nil {
		return ledger.File{}, err
	}
	data, err := io.ReadAll(io.LimitReader(r, MaxFile+1))
	if err != nil {
		return ledger.File{}, cannot("the file cannot be read", err)
	}
	kind := http.DetectContentType(data)
	switch {
	case len(data) > MaxFile:
		return ledger.File{}, &engine.Error{Kind: engine.Usage, Say: "That file is too large to be kept, over 20 MiB."}
	case !slices.Contains(mayBe(), kind):
		return ledger.File{}, &engine.Error{Kind: engine.Usage, Say: "That file is no picture and no PDF, whatever it is called.", Hint: "Send a photo."}
	}
	sum := sha256.Sum256(data)
	f := ledger.File{Sum: hex.EncodeToString(sum[:]), Size: int64(len(data)), Type: kind, Name: plainName(name)}
	return f, s.shelve(f.Sum, data)
}

// setAside moves a folder out of a file's place. Nothing is ever deleted: somebody
// may want to know what it was.
func setAside(path string) error {
	is, err := os.Lstat(path)
	if err != nil || !is.IsDir() {
		return nil
	}
	return os.Rename(path, path+".aside-"+rand.Text())
}

// plainName keeps what is harmless of a file's name: no folders, nothing that
// cannot be seen or that turns the direction of writing, no more than 80
// characters. It is for people to read; no file is ever opened by it.
func plainName(name string) string {
	name = filepath.Base(strings.ReplaceAll(name, "\\", "/"))
	name = strings.Map(func(c rune) rune {
		if !unicode.IsPrint(c) || strings.ContainsRune(`<>:"|?*/`, c) {
			return '_'
		}
		return c
	}, strings.ToValidUTF8(name, "_"))
	if runes := []rune(name); len(runes) > 80 {
		name = string(runes[:80])
	}
	return strings.Trim(name, ". ")
}

// shelve writes a file under a temporary name, syncs it, and renames it.
func (s *Store) shelve(sum string, data []byte) error {
	dir := filepath.Join(s.dir, shelfFolder)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return cannot("the evidence cannot be kept", err)
	}
	path := filepath.Join(dir, sum)
	if _, err := kept(s.dir, sum); err == nil {
		return nil
	}
	if err := setAside(path); err != nil {
		return cannot("the evidence cannot be kept", err)
	}
	tmp, err := os.CreateTemp(dir, "new-")
	if err != nil {
		return cannot("the evidence cannot be kept", err)
	}
	_, err = tmp.Write(data)
	err = errors.Join(err, tmp.Sync(), tmp.Close())
	if err == nil {
		err = errors.Join(os.Rename(tmp.Name(), path), syncDir(dir))
	}
	if err != nil {
		return cannot("the evidence cannot be kept", errors.Join(err, os.Remove(tmp.Name())))
	}
	return nil
}

func hashOf(data []byte) []byte {
	sum := sha256.Sum256(data)
	return sum[:]
}

var aSum = regexp.MustCompile(`^[0-9a-f]{64}$`)

// Kept gives a file of evidence by its sum. It gives engine.NotFound for one
// that is not there and engine.Damaged for one that was changed.
func (s *Store) Kept(ctx context.Context, sum string) ([]byte, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return kept(s.dir, sum)
}

func kept(dir, sum string) ([]byte, error) {
	f, size, err := onShelf(dir, sum)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if size > MaxFile {
		return nil, changed(sum, fmt.Errorf("it has %d bytes now, more than were ever kept", size))
	}
	data, err := io.ReadAll(io.LimitReader(f, MaxFile+1))
	if err != nil {
		return nil, cannot("the evidence cannot be read", err)
	}
	if hex.EncodeToString(hashOf(data)) != sum {
		return nil, changed(sum, errors.New("its bytes are others"))
	}
	return data, nil
}

// Discard deletes a file of evidence, if it is there. Record first that it is
// removed, and why.
func (s *Store) Discard(ctx context.Context, sum string) (gone bool, err error) {
	if err := ctx.Err(); err != nil {
		return false, err
	}
	if !aSum.MatchString(sum) {
		return false, &engine.Error{Kind: engine.NotFound, Say: "There is no such file."}
	}
	dir := filepath.Join(s.dir, shelfFolder)
	err = os.Remove(filepath.Join(dir, sum))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err == nil:
		err = syncDir(dir)
	}
	if err != nil {
		return false, cannot("the evidence cannot be removed", err)
	}
	return true, nil
}

func changed(sum string, err error) error {
	return damaged(fmt.Errorf("a file of evidence was changed: %s: %w", sum, err))
}

// onShelf opens a file of evidence. Only a plain file counts: where a link, a
// folder or a pipe lies in its place, somebody put it there.
func onShelf(dir, sum string) (*os.File, int64, error) {
	if !aSum.MatchString(sum) {
		return nil, 0, &engine.Error{Kind: engine.NotFound, Say: "There is no such file."}
	}
	path := filepath.Join(dir, shelfFolder, sum)
	was, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, 0, &engine.Error{Kind: engine.NotFound, Say: "A file of evidence is missing: " + sum, Err: err}
	case err != nil:
		return nil, 0, cannot("the evidence cannot be read", err)
	case was.IsDir():
		return nil, 0, changed(sum, errors.New("a folder lies in its place"))
	case !was.Mode().IsRegular():
		return nil, 0, changed(sum, errors.New("what lies in its place is no plain file"))
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, cannot("the evidence cannot be read", err)
	}
	is, err := f.Stat()
	if err == nil && !os.SameFile(was, is) {
		err = errors.New("it was replaced while it was opened")
	}
	if err != nil {
		return nil, 0, errors.Join(changed(sum, err), f.Close())
	}
	return f, is.Size(), nil
}

// Evidence is of ledger.EvidenceSource. It reads a file a piece at a time, however
// large it is, and one of another size not at all.
func (r *Reader) Evidence(file ledger.File) (err error) {
	f, size, err := onShelf(r.dir, file.Sum)
	switch {
	case engine.KindOf(err) == engine.NotFound:
		return errors.New("it is missing")
	case err != nil:
		return reason(err)
	}
	defer f.Close()
	if size != file.Size {
		return fmt.Errorf("it was changed: it has %d bytes, not %d", size, file.Size)
	}
	h := sha256.New()
	if _, err := io.Copy(h, io.LimitReader(f, size)); err != nil {
		return fmt.Errorf("it cannot be read: %w", err)
	}
	if hex.EncodeToString(h.Sum(nil)) != file.Sum {
		return errors.New("it was changed: its bytes are others")
	}
	return nil
}

// reason is the innermost cause, in words.
func reason(err error) error {
	for {
		in := errors.Unwrap(err)
		if in == nil {
			return err
		}
		err = in
	}
}
