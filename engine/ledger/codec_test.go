package ledger

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"
)

func sample(t testing.TB) (Record, []byte) {
	t.Helper()
	_, public := testKey(t, 1)
	r := job(public)[4]
	b, err := Encode(r)
	if err != nil {
		t.Fatal(err)
	}
	return r, b
}

func TestDecodeIsStrict(t *testing.T) {
	_, good := sample(t)
	if _, err := Decode(good); err != nil {
		t.Fatal(err)
	}
	swap := func(old, by string) string {
		if !strings.Contains(string(good), old) {
			t.Fatalf("%q is not in %s", old, good)
		}
		return strings.Replace(string(good), old, by, 1)
	}
	cases := map[string]string{
		"nothing":             "",
		"null":                "null",
		"a list":              "[]",
		"empty object":        "{}",
		"cut":                 string(good[:len(good)-1]),
		"bytes after it":      string(good) + "x",
		"newline after it":    string(good) + "\n",
		"second object":       string(good) + "{}",
		"white space":         swap(`,"seq"`, `, "seq"`),
		"unknown field":       swap(`"seq"`, `"extra":1,"seq"`),
		"unknown inner field": swap(`"title"`, `"extra":1,"title"`),
		"repeated field":      swap(`"seq":0`, `"seq":0,"seq":0`),
		"other case":          swap(`"seq"`, `"Seq"`),
		"order":               swap(`"v":1,"seq":0`, `"seq":0,"v":1`),
		"version 2":           swap(`"v":1`, `"v":2`),
		"number as 1.0":       swap(`"ver":1`, `"ver":1.0`),
		"number as 1e0":       swap(`"ver":1`, `"ver":1e0`),
		"number as text":      swap(`"ver":1`, `"ver":"1"`),
		"negative":            swap(`"seq":0`, `"seq":-1`),
		"unknown kind":        swap(`"kind":"open"`, `"kind":"opened"`),
		"no key":              swap(`"key":"ke"`, `"key":""`),
		"bore without ver":    swap(`"ver":1,`, ``),
		"time with offset":    swap(`07:04:00Z`, `07:04:00+00:00`),
		"time with zone":      swap(`07:04:00Z`, `08:04:00+01:00`),
		"time with zeros":     swap(`07:04:00Z`, `07:04:00.000Z`),
		"no time":             swap(`2026-03-02T07:04:00Z`, `0001-01-01T00:00:00Z`),
		"bad UTF-8":           swap(`Creek`, "Cr\xffek"),
		"escaped letter":      swap(`Creek`, `\u0043reek`),
		"lone surrogate":      swap(`Creek`, `\ud800reek`),
		"null for a list":     swap(`"rules"`, `"facts":null,"rules"`),
		"empty list":          swap(`"rules"`, `"facts":[],"rules"`),
		"same status twice":   swap(`{"needs":["ticket.valid"]}`, `{"needs":["ticket.valid"],"needs":["ticket.valid"]}`),
		"too long":            swap(`Creek`, strings.Repeat("x", MaxRecord)),
	}
	for name, in := range cases {
		t.Run(name, func(t *testing.T) {
			if r, err := Decode([]byte(in)); !errors.Is(err, ErrRecord) {
				t.Errorf("got %+v, %v", r, err)
			}
		})
	}
}

func TestEncodeRefuses(t *testing.T) {
	cases := map[string]struct {
		do   func(r *Record)
		want error
	}{
		"bad UTF-8":         {func(r *Record) { r.Typed = "a\xffb" }, ErrRecord},
		"bad UTF-8 in list": {func(r *Record) { r.Findings = map[string][]string{"pass": {"\xc0\x80"}} }, ErrRecord},
		"bad UTF-8 as name": {func(r *Record) { r.Findings = map[string][]string{"\xfe": {"a"}} }, ErrRecord},
		"wrong version":     {func(r *Record) { r.V = 2 }, ErrRecord},
		"no key":            {func(r *Record) { r.Key = "" }, ErrRecord},
		"no time":           {func(r *Record) { r.At = time.Time{} }, ErrRecord},
		"year 10000":        {func(r *Record) { r.At = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC) }, ErrRecord},
		"too long":          {func(r *Record) { r.Typed = strings.Repeat("x", MaxRecord) }, ErrTooLarge},
	}
	for name, tt := range cases {
		t.Run(name, func(t *testing.T) {
			r, _ := sample(t)
			tt.do(&r)
			if b, err := Encode(r); !errors.Is(err, tt.want) {
				t.Errorf("got %s, %v", b, err)
			}
		})
	}
}

// TestEncodeKeepsText: what a crew typed is in the bytes as typed, also the
// replacement character and the six characters of its escape.
func TestEncodeKeepsText(t *testing.T) {
	for _, typed := range []string{"9.50", "<5 & >3", "\ufffd", `\ufffd`, `a\\ufffd\ufffd`, "15' 2\"", "línea 5 \U0001F6A7", "a\nb", "\u2028"} {
		r, _ := sample(t)
		r.Typed = typed
		b, err := Encode(r)
		if err != nil {
			t.Fatalf("%q: %v", typed, err)
		}
		back, err := Decode(b)
		if err != nil || back.Typed != typed {
			t.Errorf("%q came back as %q, %v", typed, back.Typed, err)
		}
	}
}

func TestEncodeInUTC(t *testing.T) {
	r, want := sample(t)
	zone := time.FixedZone("there", -6*3600)
	r.At, r.Logged = r.At.In(zone), r.Logged.In(zone)
	if b, err := Encode(r); err != nil || !bytes.Equal(b, want) {
		t.Errorf("%s, %v", b, err)
	}
}

// TestLargestRecord: the bound is exact.
func TestLargestRecord(t *testing.T) {
	r, b := sample(t)
	r.Typed = "x"
	one, err := Encode(r)
	if err != nil {
		t.Fatal(err)
	}
	if len(one) <= len(b) {
		t.Fatal("no longer")
	}
	r.Typed = strings.Repeat("x", MaxRecord-len(one)+1)
	b, err = Encode(r)
	if err != nil || len(b) != MaxRecord {
		t.Fatalf("%d bytes, %v", len(b), err)
	}
	if _, err := Decode(b); err != nil {
		t.Error(err)
	}
	r.Typed += "x"
	if _, err := Encode(r); !errors.Is(err, ErrTooLarge) {
		t.Error(err)
	}
}

// FuzzDecode: whatever Decode takes encodes to the very same bytes.
func FuzzDecode(f *testing.F) {
	_, public := testKey(f, 1)
	for _, r := range job(public) {
		b, err := Encode(r)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Add([]byte(`{"v":1,"seq":0,"key":"\ufffd","kind":"hold","logged":"2026-01-01T00:00:00Z","at":"2026-01-01T00:00:00Z"}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := Decode(b)
		if err != nil {
			return
		}
		again, err := Encode(r)
		if err != nil || !bytes.Equal(again, b) {
			t.Errorf("%q became %q, %v", b, again, err)
		}
	})
}

// FuzzCheckpoint: no panic, and one spelling only.
func FuzzCheckpoint(f *testing.F) {
	s, public := testKey(f, 1)
	f.Add(seal(f, job(public), s).note)
	f.Fuzz(func(t *testing.T, msg []byte) {
		pinSize(msg)
		c, err := ParseCheckpoint(string(msg))
		if err == nil && c.String() != string(msg) {
			t.Errorf("%q became %q", msg, c.String())
		}
		check(&memory{note: msg}, Options{Key: public, Pins: [][]byte{msg}})
	})
}
