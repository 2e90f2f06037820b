package boltstore

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

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

// plainName keeps what is harmless of a file's name: no folders, no control
// characters, no more than 80 characters.
func plainName(name string) string {
	name = filepath.Base(strings.ReplaceAll(name, "\\", "/"))
	name = strings.Map(func(c rune) rune {
		if c < ' ' || c == 0x7f || strings.ContainsRune(`<>:"|?*/`, c) {
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
	if have, err := os.ReadFile(path); err == nil && hex.EncodeToString(hashOf(have)) == sum {
		return nil
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
	if !aSum.MatchString(sum) {
		return nil, &engine.Error{Kind: engine.NotFound, Say: "There is no such file."}
	}
	data, err := os.ReadFile(filepath.Join(dir, shelfFolder, sum))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, &engine.Error{Kind: engine.NotFound, Say: "A file of evidence is missing: " + sum, Err: err}
	case err != nil:
		return nil, cannot("the evidence cannot be read", err)
	case hex.EncodeToString(hashOf(data)) != sum:
		return nil, damaged(errors.New("a file of evidence was changed: " + sum))
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
