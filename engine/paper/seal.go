package paper

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/tlog"
	"rsc.io/qr"

	"firstrod/engine/ledger"
)

// Seal is what holds a page against a ledger, see the package comment.
type Seal struct {
	Origin  string // name of the ledger
	Size    int64  // records in it, all bores
	Root    string // base64 of its RFC 6962 tree hash
	Bore    string
	Version int64  // records of the bore
	Last    int64  // the ledger's number of the last of them
	Sum     string // hex SHA-256 of the bore's records as stored, a newline behind each
}

// ErrSeal is a text that is no seal.
var ErrSeal = errors.New("this is not what stands in the square code of a record")

const sealHead = "firstrod record 1"

// Seal is the seal of a document.
func (d Document) Seal() Seal {
	h := sha256.New()
	for _, r := range d.Stored {
		h.Write([]byte(r + "\n"))
	}
	return Seal{
		Origin: d.Checkpoint.Origin, Size: d.Checkpoint.Size, Root: d.Checkpoint.Root,
		Bore: d.Bore, Version: d.Version, Last: d.Last, Sum: hex.EncodeToString(h.Sum(nil)),
	}
}

// String is the text of the seal.
func (s Seal) String() string {
	return fmt.Sprintf("%s\norigin %s\nsize %d\nroot %s\nbore %s\nversion %d\nlast %d\nsum %s\n",
		sealHead, s.Origin, s.Size, s.Root, s.Bore, s.Version, s.Last, s.Sum)
}

// ParseSeal reads the text of a seal, with whatever white space a camera or a hand
// left around its lines. Anything else gives ErrSeal.
func ParseSeal(text string) (Seal, error) {
	var lines []string
	for _, l := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' }) {
		if l = strings.TrimSpace(l); l != "" {
			lines = append(lines, l)
		}
	}
	var values []string
	for i, word := range []string{"", "origin ", "size ", "root ", "bore ", "version ", "last ", "sum "} {
		if i >= len(lines) {
			return Seal{}, ErrSeal
		}
		value, ok := strings.CutPrefix(lines[i], word)
		if !ok || i == 0 && value != sealHead {
			return Seal{}, ErrSeal
		}
		values = append(values, value)
	}
	s := Seal{Origin: values[1], Root: values[3], Bore: values[4], Sum: values[7]}
	var errs [3]error
	s.Size, errs[0] = strconv.ParseInt(values[2], 10, 64)
	s.Version, errs[1] = strconv.ParseInt(values[5], 10, 64)
	s.Last, errs[2] = strconv.ParseInt(values[6], 10, 64)
	if errors.Join(errs[:]...) != nil || len(lines) != len(values) || s.Bore == "" || s.Version < 1 || s.Last < s.Version || s.Size <= s.Last {
		return Seal{}, ErrSeal
	}
	return s, nil
}

// Check holds the seal against a ledger: each calls its argument for every record
// of it, in order, and origin is the ledger's name. It gives nil when the page came
// from this ledger and nothing of it was changed since, and an error that says in a
// sentence what differs.
func (s Seal) Check(origin string, each func(func(ledger.Record) error) error) error {
	var hashes []tlog.Hash
	read := tlog.HashReaderFunc(func(at []int64) ([]tlog.Hash, error) {
		out := make([]tlog.Hash, len(at))
		for i, n := range at {
			out[i] = hashes[n]
		}
		return out, nil
	})
	sum, size, version, last := sha256.New(), int64(0), int64(0), int64(-1)
	err := each(func(r ledger.Record) error {
		if size >= s.Size {
			return nil
		}
		raw, err := ledger.Encode(r)
		if err != nil {
			return err
		}
		more, err := tlog.StoredHashes(size, raw, read)
		if err != nil {
			return err
		}
		hashes = append(hashes, more...)
		if size++; r.Bore == s.Bore && version < s.Version {
			version, last = r.Ver, r.Seq
			sum.Write(append(raw, '\n'))
		}
		return nil
	})
	if err != nil {
		return err
	}
	switch {
	case origin != s.Origin:
		return fmt.Errorf("the page is of the ledger %q, this one is %q", s.Origin, origin)
	case size < s.Size:
		return fmt.Errorf("the page is of a ledger with %d records, this one has %d", s.Size, size)
	case version != s.Version || last != s.Last:
		return fmt.Errorf("the page ends with record %d of bore %s, which is not there", s.Last, s.Bore)
	case hex.EncodeToString(sum.Sum(nil)) != s.Sum:
		return fmt.Errorf("the records of bore %s are not those of the page", s.Bore)
	}
	root, err := tlog.TreeHash(s.Size, read)
	if err != nil {
		return err
	}
	if root.String() != s.Root {
		return errors.New("the ledger is not the one that the page was made from: its root differs")
	}
	return nil
}

// code is the seal as a square code of error level M.
func (s Seal) code() (*qr.Code, error) { return qr.Encode(s.String(), qr.M) }
