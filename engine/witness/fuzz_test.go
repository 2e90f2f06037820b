package witness

import (
	"bytes"
	"testing"
)

// FuzzPolicy: no panic, and what is taken can be checked against.
func FuzzPolicy(f *testing.F) {
	p := newPanel(f)
	f.Add(p.file("group X 2 W0 W1 W2", "group Y any W3 W4", "group both all X Y", "quorum both"))
	f.Add([]byte("quorum none\n"))
	msg := p.signed(0, 3)
	f.Fuzz(func(t *testing.T, file []byte) {
		policy, err := ParsePolicy(file)
		if err != nil {
			return
		}
		_, _ = policy.Check(msg)
	})
}

// FuzzNote: no panic in a checkpoint with cosignatures, and none counts that was not
// given.
func FuzzNote(f *testing.F) {
	p := newPanel(f)
	policy, err := ParsePolicy(p.file("quorum W0"))
	if err != nil {
		f.Fatal(err)
	}
	good := p.signed(0)
	text, _ := textOf(good)
	f.Add(good)
	f.Add(p.signed(0, 1, 2))
	f.Add(p.signed())
	f.Fuzz(func(t *testing.T, msg []byte) {
		if _, err := policy.Check(msg); err != nil {
			return
		}
		if got, _ := textOf(msg); got != text {
			t.Errorf("takes %q", msg)
		}
	})
}

// FuzzRequest: one spelling of each request.
func FuzzRequest(f *testing.F) {
	l := newLog(f, 1).grow(letters("abcdefg")...)
	f.Add(l.from(0, 3))
	f.Add(l.from(3, 7))
	f.Add(l.from(7, 7))
	f.Fuzz(func(t *testing.T, body []byte) {
		r, err := readRequest(body)
		if err == nil && !bytes.Equal(r.encode(), body) {
			t.Errorf("%q became %q", body, r.encode())
		}
	})
}
