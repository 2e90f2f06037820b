package ledger

import (
	"errors"
	"fmt"
	"slices"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Errors of a key that was changed.
var (
	ErrRotation = errors.New("the new key is not signed for by the old one")
	ErrRetired  = errors.New("signed only by a key that the log had given up by then")
)

// Rotation is the text that the old key and the new one sign when a log changes its
// key: after c, which the old key has signed, the log goes on under key. It cannot
// be taken for a checkpoint.
func Rotation(c Checkpoint, key string) string {
	return fmt.Sprintf("key rotation of %s\n%d\n%s\n%s\n", c.Origin, c.Size, c.Root, key)
}

// Rotate makes what a record of a rotation holds. key is the new verifier key.
func Rotate(c Checkpoint, key string, old, fresh note.Signer) (Rotated, error) {
	msg, err := note.Sign(&note.Note{Text: Rotation(c, key)}, old, fresh)
	return Rotated{Key: key, Note: string(msg)}, err
}

// Keys are the keys that a log has signed with, one after the other. The first is in
// the record that starts it, each other one in a record of kind rotated, which the
// key before has signed for. Whoever trusts one of them can follow the rest.
type Keys struct {
	public    []string
	verifiers []note.Verifier
	since     []int64 // the record that brought it; -1 for the first
}

// StartKeys begins with the key that the log's first record names.
func StartKeys(key string) (*Keys, error) {
	v, err := note.NewVerifier(key)
	if err != nil {
		return nil, err
	}
	return &Keys{public: []string{key}, verifiers: []note.Verifier{v}, since: []int64{-1}}, nil
}

// Origin is the name of the log.
func (k *Keys) Origin() string { return k.verifiers[0].Name() }

// First is the key that the log started with.
func (k *Keys) First() string { return k.public[0] }

// Current is the key that the log signs with now.
func (k *Keys) Current() string { return k.public[len(k.public)-1] }

// Has says whether a key is one of them.
func (k *Keys) Has(key string) bool { return slices.Contains(k.public, key) }

// Add takes the rotation in record seq. root is the tree over the records before
// it; nil where only some of them are at hand.
func (k *Keys) Add(seq int64, r Rotated, root *tlog.Hash) error {
	fresh, err := note.NewVerifier(r.Key)
	if err != nil || fresh.Name() != k.Origin() || k.Has(r.Key) {
		return fmt.Errorf("%w: it is no new key of this log", ErrRotation)
	}
	old := k.verifiers[len(k.verifiers)-1]
	n, err := note.Open([]byte(r.Note), note.VerifierList(old, fresh))
	if err != nil || len(n.Sigs) != 2 || len(n.UnverifiedSigs) > 0 {
		return ErrRotation
	}
	c := Checkpoint{Origin: k.Origin(), Size: seq}
	if root == nil {
		var lines [4]string
		if _, err := fmt.Sscanf(n.Text, "key rotation of %s\n%s\n%s\n", &lines[0], &lines[1], &lines[2]); err != nil {
			return ErrRotation
		}
		h, err := tlog.ParseHash(lines[2])
		if err != nil {
			return ErrRotation
		}
		root = &h
	}
	if c.Root = *root; n.Text != Rotation(c, r.Key) {
		return fmt.Errorf("%w: it is signed for another place or another log", ErrRotation)
	}
	k.public, k.verifiers, k.since = append(k.public, r.Key), append(k.verifiers, fresh), append(k.since, seq)
	return nil
}

// Open reads a signed checkpoint. It must be signed by the key that the log had at
// that size; signatures of keys before, and of others, are let pass. It gives
// ErrRetired where only a key of before has signed it.
func (k *Keys) Open(msg []byte) (Checkpoint, error) {
	c, err := NoteCheckpoint(msg)
	if err != nil {
		return Checkpoint{}, ErrCheckpoint
	}
	at := len(k.since) - 1
	for at > 0 && k.since[at] >= c.Size {
		at--
	}
	if c, err = OpenCheckpoint(msg, k.verifiers[at]); err == nil {
		return c, nil
	}
	for _, v := range k.verifiers[:at] {
		if _, old := OpenCheckpoint(msg, v); old == nil {
			return Checkpoint{}, fmt.Errorf("%w: %w", ErrCheckpoint, ErrRetired)
		}
	}
	return Checkpoint{}, err
}
