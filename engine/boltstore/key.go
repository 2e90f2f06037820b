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

const keyFile = "log.key"

// readKey reads the log's secret key. Others must not be able to read it: whoever
// has it can write another history.
func readKey(dir string) (note.Signer, error) {
	path := filepath.Join(dir, keyFile)
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
	s, err := note.NewSigner(string(bytes.TrimSpace(b)))
	if err != nil {
		return nil, &engine.Error{
			Kind: engine.Damaged, Err: err,
			Say:  "the log's key is damaged",
			Hint: "put " + keyFile + " back from your backup",
		}
	}
	return s, nil
}

// writeKey writes the key where there is none.
func writeKey(dir, secret string) error {
	f, err := os.OpenFile(filepath.Join(dir, keyFile), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
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
