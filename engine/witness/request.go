package witness

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// emptyRoot is the RFC 6962 root of no records.
var emptyRoot = sha256.Sum256(nil)

// maxHashes is what a request may have.
const maxHashes = 63

var errRequest = errors.New("not a request to add a checkpoint")

// request is the body of add-checkpoint.
type request struct {
	old   int64
	proof tlog.TreeProof
	note  []byte
	head  ledger.Checkpoint // what the note says it is, before any signature was looked at
}

// encode writes a request: the old size, hashes, an empty line, the checkpoint.
func (r request) encode() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "old %d\n", r.old)
	for _, h := range r.proof {
		fmt.Fprintf(&b, "%s\n", base64.StdEncoding.EncodeToString(h[:]))
	}
	b.WriteByte('\n')
	b.Write(r.note)
	return b.Bytes()
}

func readRequest(body []byte) (request, error) {
	head, msg, ok := bytes.Cut(body, []byte("\n\n"))
	lines := strings.Split(string(head), "\n")
	number, ok2 := strings.CutPrefix(lines[0], "old ")
	old, err := strconv.ParseInt(number, 10, 64)
	if !ok || !ok2 || err != nil || old < 0 || strconv.FormatInt(old, 10) != number {
		return request{}, fmt.Errorf("%w: no old size and empty line", errRequest)
	}
	r := request{old: old, note: msg}
	for _, line := range lines[1:] {
		raw, err := base64.StdEncoding.Strict().DecodeString(line)
		if err != nil || len(raw) != tlog.HashSize || len(line) != 44 || len(r.proof) == maxHashes {
			return request{}, fmt.Errorf("%w: a hash that is none, or too many", errRequest)
		}
		r.proof = append(r.proof, tlog.Hash(raw))
	}
	text, ok := textOf(msg)
	if !ok {
		return request{}, fmt.Errorf("%w: no signed checkpoint", errRequest)
	}
	if r.head, err = parseHead(text); err != nil {
		return request{}, fmt.Errorf("%w: no checkpoint", errRequest)
	}
	return r, nil
}
