package boltstore

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"firstrod/engine/ledger"
)

// restoredFile says that the ledger beside it was put back from a backup, and that
// the ledger itself does not say so yet.
const restoredFile = "restored.json"

// mark is what it holds.
type mark struct {
	Size  int64  `json:"size"`
	Root  string `json:"root"`
	Token string `json:"token"` // makes the record's key: one restore, one record
}

// MarkRestored notes in dir that its ledger comes from a backup whose latest
// checkpoint is c. The next [Open] records that before anything else: a ledger that
// went on after the backup was made is then told from this one by a record, not by
// chance. See [Store.Restored].
func MarkRestored(dir string, c ledger.Checkpoint) error {
	token := make([]byte, 8)
	rand.Read(token)
	text, err := json.Marshal(mark{Size: c.Size, Root: c.Root.String(), Token: hex.EncodeToString(token)})
	if err != nil {
		return err
	}
	f, err := os.OpenFile(filepath.Join(dir, restoredFile), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return cannot("it cannot be noted that the ledger was put back", err)
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Sync(), f.Close(), syncDir(dir)); err != nil {
		return cannot("it cannot be noted that the ledger was put back", err)
	}
	return nil
}

// Restored is the size of the backup that this Open has recorded as put back; ok is
// false where it had nothing to record.
func (s *Store) Restored() (size int64, ok bool) { return s.restored, s.restored > 0 }

// recordRestored records what MarkRestored has noted, then takes the note away. Cut
// short in between, the next Open finds the record by its key.
func (s *Store) recordRestored() error {
	path := filepath.Join(s.dir, restoredFile)
	raw, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	var m mark
	if err == nil {
		err = json.Unmarshal(raw, &m)
	}
	if err != nil || m.Token == "" {
		return damaged(fmt.Errorf("%s cannot be read: %w", restoredFile, errors.Join(err)))
	}
	key := "restored " + m.Token
	_, known, err := s.Known(context.Background(), key)
	if err != nil {
		return err
	}
	if !known {
		c, _ := s.Checkpoint()
		if c.Size != m.Size || c.Root.String() != m.Root {
			return damaged(fmt.Errorf("%s is about a ledger of %d records, this one has %d", restoredFile, m.Size, c.Size))
		}
		_, err = s.Append(context.Background(), ledger.Entry{Record: ledger.Record{
			V: ledger.Version, Key: key, Kind: ledger.KindRestored, At: s.opts.Clock(),
			Restored: &ledger.Restored{Size: m.Size, Root: m.Root},
		}})
		if err != nil {
			return err
		}
	}
	s.restored = m.Size
	if err := errors.Join(os.Remove(path), syncDir(s.dir)); err != nil {
		return cannot("the note of a backup that was put back cannot be taken away", err)
	}
	return nil
}
