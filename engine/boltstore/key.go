package boltstore

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"golang.org/x/mod/sumdb/note"

	"firstrod/engine"
)

const (
	keyFile = "log.key"

	// nextKeyFile is what log.key will be once the ledger says that the key was
	// changed, see rotate.go.
	nextKeyFile = "log.key.next"
)

// readKeys reads the log's secret keys, one a line: the current one, then those
// that still sign beside it. Others must not be able to read them: whoever has them
// can write another history.
func readKeys(dir, name string) ([]note.Signer, error) {
	path := filepath.Join(dir, name)
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &engine.Error{
			Kind: engine.Damaged, Err: err,
			Say:  "there is a ledger here, but not the key it is signed with",
			Hint: "put " + keyFile + " back from your backup; a new key would start another log",
		}
	}
	if err != nil {
		return nil, cannot("the log's key cannot be read", err)
	}
	if info.Mode().Perm()&0o077 != 0 {
		return nil, &engine.Error{
			Kind: engine.Usage,
			Say:  fmt.Sprintf("others may read the log's key: %s has mode %04o", path, info.Mode().Perm()),
			Hint: "chmod 600 " + path + "; if somebody may have read it, tell your auditor",
		}
	}
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, cannot("the log's key cannot be read", err)
	}
	var keys []note.Signer
	for line := range bytes.Lines(bytes.TrimSpace(b)) {
		k, err := note.NewSigner(string(bytes.TrimSpace(line)))
		if err != nil {
			return nil, badKey(err)
		}
		keys = append(keys, k)
	}
	if len(keys) == 0 {
		return nil, badKey(errors.New("it is empty"))
	}
	return keys, nil
}

func badKey(err error) error {
	return &engine.Error{
		Kind: engine.Damaged, Err: err,
		Say:  "the log's key is damaged",
		Hint: "put " + keyFile + " back from your backup",
	}
}

// writeKey writes the key where there is none.
func writeKey(dir, secret string) error { return writeKeyFile(dir, keyFile, secret) }

func writeKeyFile(dir, name, secret string) error {
	f, err := os.OpenFile(filepath.Join(dir, name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.WriteString(secret + "\n")
	return errors.Join(err, f.Sync(), f.Close())
}

func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
