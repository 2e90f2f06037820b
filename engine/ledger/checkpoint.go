package ledger

import (
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Checkpoint is the size and root of a log at one moment.
type Checkpoint struct {
	Origin string    // name of the log
	Size   int64     // number of records
	Root   tlog.Hash // RFC 6962 tree hash over them
}

// ErrCheckpoint is every reason not to believe a checkpoint. It is vague on
// purpose: detail would help a forger only.
var ErrCheckpoint = errors.New("not a checkpoint of this log")

// NewOrigin makes the name of a fresh log, "firstrod.local/" and 64 random bits
// in hex. C2SP wants a name without scheme, spaces and pluses.
func NewOrigin(random io.Reader) (string, error) {
	var b [8]byte
	if _, err := io.ReadFull(random, b[:]); err != nil {
		return "", err
	}
	return "firstrod.local/" + hex.EncodeToString(b[:]), nil
}

// NewKey makes an Ed25519 key for a log: secret to sign with, public to verify
// with, both in signed-note form. The name in both is origin.
func NewKey(random io.Reader, origin string) (secret, public string, err error) {
	secret, public, err = note.GenerateKey(random, origin)
	if err != nil {
		return "", "", err
	}
	// GenerateKey takes any name; a bad one shows when the key is read back.
	if _, err := note.NewVerifier(public); err != nil {
		return "", "", fmt.Errorf("log name %q: %w", origin, err)
	}
	return secret, public, nil
}

// String is the text that is signed: three lines, each ending in a newline.
func (c Checkpoint) String() string {
	return fmt.Sprintf("%s\n%d\n%s\n", c.Origin, c.Size, c.Root)
}

// Short is for people to compare by eye: the first 32 bits of the root,
// "9f3a 77c1".
func (c Checkpoint) Short() string {
	h := hex.EncodeToString(c.Root[:4])
	return h[:4] + " " + h[4:]
}

// NoteCheckpoint reads the checkpoint in a signed note and does not look at the
// signature: [OpenCheckpoint] does.
func NoteCheckpoint(msg []byte) (Checkpoint, error) {
	text, _, _ := strings.Cut(string(msg), "\n\n")
	return ParseCheckpoint(text + "\n")
}

// Sign gives the checkpoint as a signed note. The origin must be the name of each
// key; there is more than one for a while after a key was changed.
func (c Checkpoint) Sign(keys ...note.Signer) ([]byte, error) {
	for _, s := range keys {
		if c.Origin != s.Name() {
			return nil, fmt.Errorf("checkpoint of %q, key of %q", c.Origin, s.Name())
		}
	}
	return note.Sign(&note.Note{Text: c.String()}, keys...)
}

// ParseCheckpoint reads the text of a checkpoint, without signatures. It takes
// the three lines and nothing else: this log writes no extension lines.
func ParseCheckpoint(text string) (Checkpoint, error) {
	lines := strings.SplitN(text, "\n", 4)
	if len(text) > 1000 || len(lines) != 4 || lines[0] == "" {
		return Checkpoint{}, ErrCheckpoint
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil || size < 0 {
		return Checkpoint{}, ErrCheckpoint
	}
	root, err := tlog.ParseHash(lines[2])
	if err != nil {
		return Checkpoint{}, ErrCheckpoint
	}
	c := Checkpoint{Origin: lines[0], Size: size, Root: root}
	if c.String() != text {
		return Checkpoint{}, ErrCheckpoint
	}
	return c, nil
}

// OpenCheckpoint reads a signed checkpoint and verifies that v signed it for
// the log of v's name. Signatures of others are let pass.
func OpenCheckpoint(msg []byte, v note.Verifier) (Checkpoint, error) {
	n, err := note.Open(msg, note.VerifierList(v))
	if err != nil {
		return Checkpoint{}, ErrCheckpoint
	}
	for _, s := range n.Sigs {
		// Lax base64 ignores the last bits: two spellings of one signature.
		if _, err := base64.StdEncoding.Strict().DecodeString(s.Base64); err != nil {
			return Checkpoint{}, ErrCheckpoint
		}
	}
	c, err := ParseCheckpoint(n.Text)
	if err != nil || c.Origin != v.Name() {
		return Checkpoint{}, ErrCheckpoint
	}
	return c, nil
}
