package ledger

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"
)

// Errors of the codec. Decode wraps ErrRecord in all cases.
var (
	ErrRecord   = errors.New("not a record")
	ErrTooLarge = errors.New("record too large")
)

// Encode gives the bytes of a record: compact JSON, times in UTC. It refuses
// what Decode would refuse, so that nothing unreadable is ever written, and
// gives ErrTooLarge for more than MaxRecord bytes.
func Encode(r Record) ([]byte, error) {
	r.Logged, r.At = utc(r.Logged), utc(r.At)
	if r.Release != nil {
		rel := *r.Release
		rel.Until = utc(rel.Until)
		r.Release = &rel
	}
	if err := r.valid(); err != nil {
		return nil, err
	}
	b, err := marshal(r)
	if err != nil {
		return nil, err
	}
	if len(b) > MaxRecord {
		return nil, fmt.Errorf("%w: %d bytes, at most %d", ErrTooLarge, len(b), MaxRecord)
	}
	// The encoder writes this escape for a byte that is not UTF-8, and never
	// for anything else but those six characters typed as such.
	if bytes.Contains(b, []byte(`\ufffd`)) {
		if _, err := Decode(b); err != nil {
			return nil, fmt.Errorf("%w: text is not UTF-8", ErrRecord)
		}
	}
	return b, nil
}

// Decode reads a record. It is strict: encoding the result gives the same
// bytes, or Decode refuses. That rules out unknown, repeated and misspelt
// fields, other spellings of a number or time, white space, text that is not
// UTF-8, and anything after the object.
func Decode(b []byte) (Record, error) {
	var r Record
	err := decodeInto(b, &r, &buffers{})
	if err != nil {
		return Record{}, err
	}
	return r, nil
}

// decodeInto is Decode into r and what can be used again.
func decodeInto(b []byte, r *Record, keep *buffers) (err error) {
	if len(b) <= MaxRecord && decodeShort(b, r, keep) {
		return r.valid()
	}
	*r, err = decodeLong(b)
	return err
}

// decodeLong reads a record as encoding/json does, and compares.
func decodeLong(b []byte) (Record, error) {
	if len(b) > MaxRecord {
		return Record{}, fmt.Errorf("%w: %w: %d bytes", ErrRecord, ErrTooLarge, len(b))
	}
	var r Record
	if err := json.Unmarshal(b, &r); err != nil {
		return Record{}, fmt.Errorf("%w: %w", ErrRecord, err)
	}
	if err := r.valid(); err != nil {
		return Record{}, err
	}
	// Unmarshal is lax, but whatever it let pass is not in r, or not in this form.
	again, err := marshal(r)
	if err != nil {
		return Record{}, fmt.Errorf("%w: %w", ErrRecord, err)
	}
	if !bytes.Equal(again, b) {
		return Record{}, fmt.Errorf("%w: bytes are not in the one form a record has", ErrRecord)
	}
	return r, nil
}

// marshal leaves <, > and & alone, so that what a crew typed stays legible.
func marshal(r Record) ([]byte, error) {
	var buf bytes.Buffer
	e := json.NewEncoder(&buf)
	e.SetEscapeHTML(false)
	if err := e.Encode(r); err != nil {
		return nil, err
	}
	return bytes.TrimSuffix(buf.Bytes(), []byte("\n")), nil
}

func utc(t time.Time) time.Time { return t.UTC().Round(0) }

// valid checks what JSON itself does not.
func (r *Record) valid() error {
	bad := func(what string) error { return fmt.Errorf("%w: %s", ErrRecord, what) }
	switch {
	case r.V != Version:
		return bad(fmt.Sprintf("format version %d, want %d", r.V, Version))
	case !known(r.Kind):
		return bad(fmt.Sprintf("unknown kind %q", r.Kind))
	case r.Seq < 0:
		return bad("negative seq")
	case r.Key == "":
		return bad("no key")
	case (r.Bore == "") != (r.Ver == 0) || r.Ver < 0:
		return bad("a bore goes with a version from 1, and a version with a bore")
	}
	if !validTime(r.Logged) || !validTime(r.At) || r.Release != nil && !validTime(r.Release.Until) {
		return bad("a time is missing or not in UTC")
	}
	return nil
}

// validTime: the zero time is a missing one; the encoder stops at year 9999.
func validTime(t time.Time) bool {
	return t.Year() >= 1970 && t.Year() <= 9999 && t.Location() == time.UTC
}

func known(k Kind) bool { return slices.Contains(Kinds(), k) }
