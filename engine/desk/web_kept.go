package desk

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"firstrod/engine"
)

// Kept gives the last bundle that came into force, checked again.
func (w *Web) Kept(context.Context) (Candidate, error) {
	c, err := Open(w.cfg.Copy, w.cfg.Key)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Candidate{}, absent("no rules were fetched yet", "", err)
	case err != nil:
		say, _ := inWords(err)
		return Candidate{}, &engine.Error{Kind: engine.KindOf(err), Say: "the kept rules in " + w.cfg.Copy + " cannot be used: " + say,
			Hint: "have the server give a good bundle, or put one in place of the file, signed by " + w.cfg.Key.Name(), Err: err}
	}
	return c, nil
}

// Keep writes the bundle to its file, all at once. It may be the first file of
// the data folder, which others have no business in.
func (w *Web) Keep(_ context.Context, c Candidate) error {
	if c.From == w.cfg.Copy {
		return nil // it came from there
	}
	if err := os.MkdirAll(filepath.Dir(w.cfg.Copy), 0o700); err != nil {
		return unwritten(w.cfg.Copy, err)
	}
	if err := w.note(c.bundle); err != nil {
		return err
	}
	return Replace(w.cfg.Copy, c.bundle)
}

// etagFile lies beside the bundle, so that a later run need not have it sent
// again: three lines, the SHA-256 of the bundle, the address, and the ETag that it
// had there. It vouches for nothing.
func (w *Web) etagFile() string { return w.cfg.Copy + ".etag" }

// note writes down which ETag a bundle had that is about to be kept.
func (w *Web) note(bundle []byte) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.etag == "" || !bytes.Equal(bundle, w.have.bundle) {
		return nil // an old note is about another bundle, and is not believed
	}
	return Replace(w.etagFile(), []byte(hexOf(bundle)+"\n"+w.cfg.URL+"\n"+w.etag+"\n"))
}

// remember takes up what an earlier run has kept, once.
func (w *Web) remember() {
	if w.begun {
		return
	}
	w.begun = true
	c, err := Open(w.cfg.Copy, w.cfg.Key)
	if err != nil {
		return
	}
	raw, err := readFile(w.etagFile())
	lines := strings.Split(string(raw), "\n")
	if err == nil && len(lines) == 4 && lines[0] == hexOf(c.bundle) && lines[1] == w.cfg.URL && sendable(lines[2]) {
		w.have, w.etag = c, lines[2]
	}
}

// sendable is an ETag that may be sent back.
func sendable(etag string) bool {
	return len(etag) <= 1000 && !strings.ContainsFunc(etag, func(r rune) bool { return r < ' ' || r > '~' })
}

func hexOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
