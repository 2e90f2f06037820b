package ledger

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// used are buffers with what another record left in them.
func used() buffers {
	return buffers{
		facts: []Fact{{Key: "old", Items: []string{"old"}}, {Unit: "old"}}, texts: []string{"old", "older"},
		findings: map[string][]string{"fail": {"old"}}, by: Actor{"old", "old"}, sign: Sign{"old", "old", 9},
	}
}

// sameAsLong: the short way gives up, or gives what the long way gives.
func sameAsLong(t interface {
	Helper()
	Errorf(string, ...any)
}, b []byte) (short bool) {
	t.Helper()
	var r Record
	keep := used()
	if !decodeShort(b, &r, &keep) {
		return false
	}
	if r.valid() != nil {
		if _, err := decodeLong(b); err == nil {
			t.Errorf("%q: not valid the short way, fine the long way", b)
		}
		return true
	}
	want, err := decodeLong(b)
	if err != nil {
		t.Errorf("%q: read the short way, refused the long way: %v", b, err)
	} else if !reflect.DeepEqual(r, want) {
		t.Errorf("%q:\nshort %+v\nlong  %+v", b, r, want)
	}
	return true
}

// TestShortWay: the records of a ledger and their changed copies are the same both
// ways, and most take the short one.
func TestShortWay(t *testing.T) {
	s, public := testKey(t, 1)
	m := seal(t, job(public), s)
	n := 0
	for _, b := range m.recs {
		if sameAsLong(t, b) {
			n++
		}
		for i := range b {
			for _, x := range []byte{1, 2, 0x20, 0x80} {
				b[i] ^= x
				sameAsLong(t, b)
				b[i] ^= x
			}
			sameAsLong(t, append(bytes.Clone(b[:i]), b[min(i+1, len(b)):]...))
			sameAsLong(t, append(append(bytes.Clone(b[:i]), b[i]), b[i:]...))
		}
	}
	if n < 9 {
		t.Errorf("only %d of %d records take the short way", n, len(m.recs))
	}
}

// TestShortWayForms are forms that are nearly the one form.
func TestShortWayForms(t *testing.T) {
	const good = `{"v":1,"seq":5,"key":"k","kind":"answer","logged":"2026-03-02T07:05:00.25Z","at":"2026-03-02T07:05:00Z","bore":"b1","ver":2,` +
		`"by":{"id":"p","role":"r"},"typed":"9.5","facts":[{"key":"a","kind":"length","typed":"9.5","value":"1","items":["x"]}],"drops":["d"],` +
		`"findings":{"fail":["x.y"],"pass":["x.z","x.w"]},"gone":["g"],"state":"open","rules":"rev","sign":{"meaning":"m","input":"i","through":0},"refers":[0,4]}`
	if !sameAsLong(t, []byte(good)) {
		t.Fatal("the short way gives up at the plain form")
	}
	for _, change := range [][2]string{
		{`"seq":5`, `"seq":05`}, {`"seq":5`, `"seq":-5`}, {`"seq":5`, `"seq":5.0`}, {`"seq":5`, `"seq":9223372036854775808`}, {`"seq":5`, `"seq":0`},
		{`.25Z`, `.250Z`}, {`.25Z`, `.Z`}, {`.25Z`, `.1234567891Z`}, {`.25Z`, `.123456789Z`}, {`.25Z`, `+00:00`}, {`.25Z`, `.2xZ`}, {`.25Z`, `,25Z`},
		{`03-02T07:05:00Z`, `02-29T07:05:00Z`}, {`03-02T07:05:00Z`, `04-31T07:05:00Z`}, {`03-02T07:05:00Z`, `12-31T23:59:59Z`}, {`03-02T07:05:00Z`, `13-01T07:05:00Z`},
		{`07:05:00Z`, `24:05:00Z`}, {`07:05:00Z`, `07:60:00Z`}, {`07:05:00Z`, `07:05:60Z`}, {`"at":"2026`, `"at":"1969`}, {`"at":"2026`, `"at":"2x26`}, {`"at":"2026`, `"at":"2024`},
		{`"typed":"9.5","facts"`, `"typed":"","facts"`}, {`"typed":"9.5","facts"`, `"typed":"<&>","facts"`}, {`"typed":"9.5","facts"`, `"typed":"` + "\u2028" + `","facts"`},
		{`"typed":"9.5","facts"`, `"typed":"` + "\x7f" + `","facts"`}, {`"typed":"9.5","facts"`, `"typed":"` + "\ufffd\u00ed" + `","facts"`}, {`"typed":"9.5","facts"`, `"typed":"` + "\xff" + `","facts"`},
		{`"typed":"9.5","facts"`, `"typed":"a\"b","facts"`}, {`"typed":"9.5","facts"`, `"typed":"a\\","facts"`},
		{`"drops":["d"]`, `"drops":[]`}, {`"drops":["d"]`, `"drops":["d",]`}, {`"drops":["d"]`, `"drops":[""]`}, {`"refers":[0,4]`, `"refers":[]`},
		{`"fail":["x.y"]`, `"zz":["x.y"]`}, {`"fail":["x.y"]`, `"pass":["x.y"]`}, {`"fail":["x.y"]`, `"":["x.y"]`}, {`"fail":["x.y"]`, `"fail":[]`}, {`"fail":["x.y"]`, `"fail":null`},
		{`"ver":2`, `"ver":0`}, {`"role":"r"`, `"role":""`}, {`"through":0`, `"through":3`}, {`,"state"`, ` ,"state"`}, {`}`, `} `}, {`"kind":"answer"`, `"kind":"shout"`},
		{`"v":1`, `"v":2`}, {`"key":"k"`, `"key":""`}, {`"bore":"b1",`, ``}, {`"state":"open","rules"`, `"rules":"open","state"`},
	} {
		if !strings.Contains(good, change[0]) {
			t.Fatalf("%q is not in the form", change[0])
		}
		sameAsLong(t, []byte(strings.Replace(good, change[0], change[1], 1)))
	}
}

// TestShortWayRandom: records of every shape encode to bytes that both ways read
// the same.
func TestShortWayRandom(t *testing.T) {
	text := rapid.StringOf(rapid.OneOf(rapid.RuneFrom([]rune(`abc<"\&'é`+"\u2028\ufffd\n\x7f")), rapid.Rune()))
	list := rapid.SliceOfN(text, 0, 3)
	moment := rapid.Custom(func(t *rapid.T) time.Time {
		return time.Unix(rapid.Int64Range(0, 250_000_000_000).Draw(t, "s"), rapid.SampledFrom([]int64{0, 0, 1, 120, 999_999_999, 500_000_000}).Draw(t, "ns")).UTC()
	})
	rapid.Check(t, func(t *rapid.T) {
		r := Record{
			V: 1, Seq: rapid.Int64Min(0).Draw(t, "seq"), Key: "k" + text.Draw(t, "key"), Kind: KindAnswer, Logged: moment.Draw(t, "logged"), At: moment.Draw(t, "at"),
			Bore: "b" + text.Draw(t, "bore"), Ver: rapid.Int64Min(1).Draw(t, "ver"), Typed: text.Draw(t, "typed"), Why: text.Draw(t, "why"), Drops: list.Draw(t, "drops"),
			Findings: rapid.MapOf(text, list).Draw(t, "findings"), Gone: list.Draw(t, "gone"), Check: text.Draw(t, "check"), Refers: rapid.SliceOf(rapid.Int64()).Draw(t, "refers"),
		}
		if rapid.Bool().Draw(t, "by") {
			r.By = &Actor{text.Draw(t, "id"), text.Draw(t, "role")}
		}
		for range rapid.IntRange(0, 2).Draw(t, "facts") {
			r.Facts = append(r.Facts, Fact{Key: text.Draw(t, "fact"), Value: text.Draw(t, "value"), Unit: text.Draw(t, "unit"), Items: list.Draw(t, "items")})
		}
		b, err := marshal(r)
		if err != nil {
			return
		}
		sameAsLong(t, b)
		if i := rapid.IntRange(0, len(b)-1).Draw(t, "at byte"); len(b) > 0 {
			b[i] = rapid.Byte().Draw(t, "byte")
			sameAsLong(t, b)
		}
	})
}

// FuzzShortWay: whatever the bytes, the short way takes nothing that the long way
// does not, and gives the same.
func FuzzShortWay(f *testing.F) {
	_, public := testKey(f, 1)
	for _, r := range job(public) {
		b, err := json.Marshal(r)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) { sameAsLong(t, b) })
}
