package proof

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/tlog"
)

// proofHeader begins an inclusion proof, see c2sp.org/tlog-proof.
const proofHeader = "c2sp.org/tlog-proof@v1\n"

// maxHashes is what a tree with 63-bit numbers can need.
const maxHashes = 63

var errHashes = errors.New("not a proof in its one form")

// inclusion is the tlog-proof of a record: its number, the hashes, and the
// checkpoint word for word.
func inclusion(seq int64, hashes []tlog.Hash, checkpoint []byte) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%sindex %d\n%s\n%s", proofHeader, seq, lines(hashes), checkpoint)
	return b.Bytes()
}

// readInclusion takes what inclusion writes.
func readInclusion(b []byte) (seq int64, hashes []tlog.Hash, checkpoint []byte, err error) {
	rest, ok := bytes.CutPrefix(b, []byte(proofHeader+"index "))
	number, rest, ok2 := bytes.Cut(rest, []byte("\n"))
	if !ok || !ok2 {
		return 0, nil, nil, errHashes
	}
	if seq, err = strconv.ParseInt(string(number), 10, 64); err != nil || seq < 0 || strconv.FormatInt(seq, 10) != string(number) {
		return 0, nil, nil, errHashes
	}
	body, checkpoint, ok := bytes.Cut(rest, []byte("\n\n"))
	if end, only := bytes.CutPrefix(rest, []byte("\n")); only {
		body, checkpoint, ok = nil, end, true // the only record of a log needs no hashes
	} else {
		body = append(bytes.Clone(body), '\n')
	}
	if !ok {
		return 0, nil, nil, errHashes
	}
	hashes, err = readLines(body)
	return seq, hashes, checkpoint, err
}

// lines is one hash a line, in base64.
func lines(hashes []tlog.Hash) string {
	var b strings.Builder
	for _, h := range hashes {
		b.WriteString(base64.StdEncoding.EncodeToString(h[:]))
		b.WriteByte('\n')
	}
	return b.String()
}

// readLines takes what lines writes.
func readLines(b []byte) ([]tlog.Hash, error) {
	var hashes []tlog.Hash
	for line := range bytes.Lines(b) {
		text, ok := bytes.CutSuffix(line, []byte("\n"))
		raw, err := base64.StdEncoding.Strict().DecodeString(string(text))
		if !ok || err != nil || len(raw) != tlog.HashSize || len(hashes) == maxHashes {
			return nil, errHashes
		}
		hashes = append(hashes, tlog.Hash(raw))
	}
	if lines(hashes) != string(b) {
		return nil, errHashes // base64 decoders pass over line ends
	}
	return hashes, nil
}
