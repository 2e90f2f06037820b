package witness

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"slices"
	"strings"
	"time"

	"golang.org/x/mod/sumdb/note"

	"firstrod/engine/ledger"
)

// maxNote is far more than a checkpoint with 100 signatures has.
const maxNote = 32 << 10

var errNote = errors.New("not a signed checkpoint")

// parseHead reads the first three lines of a checkpoint's text. Further lines, which
// C2SP allows and our own log never has, are let pass.
func parseHead(text string) (ledger.Checkpoint, error) {
	lines := strings.SplitAfterN(text, "\n", 4)
	if len(lines) != 4 {
		return ledger.Checkpoint{}, errNote
	}
	for _, l := range strings.Split(strings.TrimSuffix(lines[3], "\n"), "\n") {
		if lines[3] != "" && (l == "" || !strings.HasSuffix(lines[3], "\n")) {
			return ledger.Checkpoint{}, errNote
		}
	}
	c, err := ledger.ParseCheckpoint(lines[0] + lines[1] + lines[2])
	if err != nil {
		return c, errNote
	}
	return c, nil
}

// textOf is the signed text of a note, with its line end.
func textOf(msg []byte) (string, bool) {
	i := bytes.LastIndex(msg, []byte("\n\n"))
	if i < 0 {
		return "", false
	}
	return string(msg[:i+1]), true
}

// open verifies a note with the keys given. It gives those signatures that one of
// them made; a wrong signature of one of them is an error.
func open(msg []byte, keys ...note.Verifier) (ledger.Checkpoint, string, []note.Signature, error) {
	if len(msg) > maxNote {
		return ledger.Checkpoint{}, "", nil, errNote
	}
	n, err := note.Open(msg, note.VerifierList(keys...))
	if err != nil {
		return ledger.Checkpoint{}, "", nil, err
	}
	for _, s := range n.Sigs {
		// Lax base64 ignores the last bits: two spellings of one signature.
		if _, err := base64.StdEncoding.Strict().DecodeString(s.Base64); err != nil {
			return ledger.Checkpoint{}, "", nil, errNote
		}
	}
	c, err := parseHead(n.Text)
	return c, n.Text, n.Sigs, err
}

// timeOf is when a cosignature was given.
func timeOf(s note.Signature) time.Time {
	raw, err := base64.StdEncoding.DecodeString(s.Base64)
	if err != nil || len(raw) != 4+sigSize {
		return time.Time{}
	}
	return time.Unix(int64(binary.BigEndian.Uint64(raw[4:])), 0).UTC()
}

// Merge puts signature lines on a signed note, each key's latest one.
func Merge(msg []byte, lines []string) []byte {
	text, ok := textOf(msg)
	if !ok {
		return msg
	}
	var all []string
	for _, l := range append(strings.SplitAfter(string(msg[len(text)+1:]), "\n"), lines...) {
		if l == "" {
			continue
		}
		all = slices.DeleteFunc(all, func(old string) bool { return signer(old) == signer(l) })
		all = append(all, l)
	}
	return []byte(text + "\n" + strings.Join(all, ""))
}

// signer is the name and key of a signature line.
func signer(line string) string {
	fields := strings.Fields(line)
	if len(fields) != 3 {
		return line
	}
	raw, err := base64.StdEncoding.DecodeString(fields[2])
	if err != nil || len(raw) < 4 {
		return line
	}
	return fields[1] + "+" + string(raw[:4])
}
