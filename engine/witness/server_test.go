package witness

import (
	"bytes"
	"errors"
	"net/http"
	"os"
	"strings"
	"sync"
	"testing"

	fnote "github.com/transparency-dev/formats/note"
	"golang.org/x/mod/sumdb/note"
)

// TestWitness is a day of a witness: what it cosigns and what it refuses, with the
// answers that c2sp.org/tlog-witness wants.
func TestWitness(t *testing.T) {
	l := newLog(t, 1).grow(letters("abcdefghij")...)
	y := newYard(t, l.public)
	first := y.wants(http.StatusOK, l.from(0, 3))
	if !strings.HasPrefix(first, "— yard.example/witness ") || strings.Count(first, "\n") != 1 {
		t.Errorf("%q is no signature line", first)
	}
	y.wants(http.StatusOK, l.from(3, 7))
	if again := y.wants(http.StatusOK, l.from(7, 7)); again == "" {
		t.Error("the same checkpoint once more is fine")
	}
	y.wants(http.StatusOK, l.from(7, 8))

	status, kind, answer := y.post(l.from(7, 9))
	if status != http.StatusConflict || kind != "text/x.tlog.size" || answer != "8\n" {
		t.Errorf("late: %d %s %q", status, kind, answer)
	}
	if status, kind, answer := y.post(l.from(0, 3)); status != http.StatusConflict || kind != "text/x.tlog.size" || answer != "8\n" {
		t.Errorf("rollback: %d %s %q", status, kind, answer)
	}
	fork := newLog(t, 1).grow(letters("abcdefXhijk")...)
	y.wants(http.StatusConflict, fork.from(8, 8))
	y.wants(http.StatusUnprocessableEntity, fork.from(8, 11))
	other := newLog(t, 2).grow(letters("abcdefghij")...)
	y.wants(http.StatusForbidden, other.from(8, 10))
	y.wants(http.StatusBadRequest, l.from(9, 8))
	y.wants(http.StatusOK, l.from(8, 10))
	if len(y.told) != 10 {
		t.Errorf("%d sentences: %q", len(y.told), y.told)
	}
}

// TestOutsideVerifiesCosignature: another implementation takes the cosignature and
// reads the same time from it, and ours takes one that it made.
func TestOutsideVerifiesCosignature(t *testing.T) {
	l := newLog(t, 1).grow("a", "b")
	y := newYard(t, l.public)
	msg := Merge(l.at(2), []string{y.wants(http.StatusOK, l.from(0, 2))})
	_, secret, public := cosigner(t, 7, "yard.example/witness")
	v, err := fnote.NewVerifierForCosignatureV1(public)
	if err != nil {
		t.Fatal(err)
	}
	n, err := note.Open(msg, note.VerifierList(v))
	if err != nil || len(n.Sigs) != 1 {
		t.Fatalf("%v\n%s", err, msg)
	}
	if at, err := fnote.CoSigV1Timestamp(n.Sigs[0]); err != nil || !at.Equal(now) {
		t.Errorf("at %s, %v", at, err)
	}
	if at := timeOf(n.Sigs[0]); !at.Equal(now) {
		t.Errorf("here %s", at)
	}
	s, err := fnote.NewSignerForCosignatureV1(secret)
	if err != nil {
		t.Fatal(err)
	}
	theirs, err := note.Sign(&note.Note{Text: n.Text}, s)
	if err != nil {
		t.Fatal(err)
	}
	k, err := ParseKey(public)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := note.Open(theirs, note.VerifierList(k)); err != nil {
		t.Errorf("ours does not take theirs: %v", err)
	}
}

func TestWitnessRefusesGarbage(t *testing.T) {
	l := newLog(t, 1).grow(letters("abcdefg")...)
	y := newYard(t, l.public)
	good := string(l.from(0, 5))
	stranger := strings.ReplaceAll(good, origin, "other.example/log")
	for name, c := range map[string]struct {
		body string
		want int
	}{
		"empty":             {"", 400},
		"one line":          {"old 0\n", 400},
		"no old":            {strings.TrimPrefix(good, "old 0\n"), 400},
		"leading zero":      {strings.Replace(good, "old 0", "old 00", 1), 400},
		"negative":          {strings.Replace(good, "old 0", "old -1", 1), 400},
		"not a number":      {strings.Replace(good, "old 0", "old one", 1), 400},
		"number too large":  {strings.Replace(good, "old 0", "old 99999999999999999999", 1), 400},
		"short hash":        {strings.Replace(good, "old 0\n", "old 0\nAAAA\n", 1), 400},
		"no hash":           {strings.Replace(good, "old 0\n", "old 0\nhello\n", 1), 400},
		"64 hashes":         {strings.Replace(good, "old 0\n", "old 0\n"+strings.Repeat(strings.Repeat("A", 43)+"=\n", 64), 1), 400},
		"a proof from 0":    {strings.Replace(good, "old 0\n", "old 0\n"+strings.Repeat("A", 43)+"=\n", 1), 422},
		"no checkpoint":     {"old 0\n\nhello\n", 400},
		"no signature":      {good[:strings.Index(good, "\n— ")+1], 403},
		"signature changed": {strings.Replace(good, "= \n", "", 1)[:len(good)-9] + "AAAAAA=\n", 403},
		"unknown log":       {stranger, 404},
		"root changed":      {strings.Replace(good, "\n5\n", "\n6\n", 1), 403},
		"binary":            {"\x00\xff\x00" + good, 400},
		"too long":          {good + strings.Repeat("x", maxBody), 413},
	} {
		t.Run(name, func(t *testing.T) {
			if got, _, answer := y.post([]byte(c.body)); got != c.want {
				t.Errorf("%d, want %d: %s", got, c.want, answer)
			}
		})
	}
	for _, c := range []struct {
		method, path string
		want         int
	}{{"GET", "/add-checkpoint", 405}, {"POST", "/", 404}, {"POST", "/add-checkpoint/x", 404}} {
		r, err := http.NewRequest(c.method, y.http.URL+c.path, strings.NewReader(good))
		if err != nil {
			t.Fatal(err)
		}
		resp, err := y.http.Client().Do(r)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		if resp.StatusCode != c.want {
			t.Errorf("%s %s: %d, want %d", c.method, c.path, resp.StatusCode, c.want)
		}
	}
	y.wants(http.StatusOK, []byte(good)) // none of it left a trace
}

// TestWitnessRemembers: over a restart, and no further than what was written.
func TestWitnessRemembers(t *testing.T) {
	l := newLog(t, 1).grow(letters("abcdefg")...)
	y := newYard(t, l.public)
	y.wants(http.StatusOK, l.from(0, 5))
	if _, err := Open(y.path, false); !errors.Is(err, ErrInUse) {
		t.Errorf("a second witness on one state: %v", err)
	}
	y.stop()
	y.start(false)
	if answer := y.wants(http.StatusConflict, l.from(0, 2)); answer != "5\n" {
		t.Errorf("it forgot: %q", answer)
	}
	y.wants(http.StatusOK, l.from(5, 6))
	raw, err := os.ReadFile(y.path)
	if err != nil || !strings.Contains(string(raw), `\n6\n`) {
		t.Errorf("%s, %v", raw, err)
	}
}

// TestWitnessStateLost: it does not start over by itself, nor on a state that is not
// its own.
func TestWitnessStateLost(t *testing.T) {
	l := newLog(t, 1).grow(letters("abcdefg")...)
	y := newYard(t, l.public)
	y.wants(http.StatusOK, l.from(0, 5))
	y.stop()
	raw, err := os.ReadFile(y.path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(y.path, true); !errors.Is(err, ErrState) {
		t.Errorf("a new witness on a state that is there: %v", err)
	}
	for name, c := range map[string]struct {
		do   func()
		want error
	}{
		"gone":             {func() { os.Remove(y.path) }, ErrNoState},
		"cut short":        {func() { os.WriteFile(y.path, raw[:len(raw)/2], 0o600) }, ErrState},
		"null":             {func() { os.WriteFile(y.path, []byte("null"), 0o600) }, ErrState},
		"size turned back": {func() { os.WriteFile(y.path, bytes.Replace(raw, []byte(`\n5\n`), []byte(`\n3\n`), 1), 0o600) }, ErrState},
		"another log's": {func() {
			os.WriteFile(y.path, bytes.ReplaceAll(raw, []byte(origin), []byte("firstrod.local/ffffffffffffffff")), 0o600)
		}, ErrState},
	} {
		t.Run(name, func(t *testing.T) {
			c.do()
			s, err := Open(y.path, false)
			if err == nil {
				_, err = New(Config{Key: y.key, Logs: y.logs, State: s})
				s.Close()
			}
			if !errors.Is(err, c.want) {
				t.Errorf("%v, want %v", err, c.want)
			}
		})
	}
	os.WriteFile(y.path, raw, 0o600)
	y.start(false)
}

// TestWitnessCannotWrite: what cannot be kept is not cosigned.
func TestWitnessCannotWrite(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Log("as root a folder cannot be closed to us; the folder is taken away instead")
	}
	l := newLog(t, 1).grow("a", "b")
	y := newYard(t, l.public)
	good := y.state.path
	y.state.path = good + "/nowhere/state.json"
	if answer := y.wants(http.StatusInternalServerError, l.from(0, 2)); strings.Contains(answer, "—") {
		t.Errorf("cosigned: %q", answer)
	}
	y.state.path = good
	y.wants(http.StatusOK, l.from(0, 1))
}

// TestWitnessManyAtOnce: of many requests from one size to different ones, one wins.
func TestWitnessManyAtOnce(t *testing.T) {
	l := newLog(t, 1).grow(letters("abcdefghijklmnopqrst")...)
	y := newYard(t, l.public)
	y.wants(http.StatusOK, l.from(0, 4))
	var bodies [][]byte
	for n := int64(5); n <= 20; n++ {
		bodies = append(bodies, l.from(4, n))
	}
	var mu sync.Mutex
	var wg sync.WaitGroup
	count := map[int]int{}
	for _, b := range bodies {
		wg.Go(func() {
			status, _, _ := y.post(b)
			mu.Lock()
			count[status]++
			mu.Unlock()
		})
	}
	wg.Wait()
	if count[200] != 1 || count[409] != len(bodies)-1 {
		t.Errorf("%v", count)
	}
}

// TestExtensionLines: another log's checkpoint may have more lines; they are cosigned
// as they are.
func TestExtensionLines(t *testing.T) {
	l := newLog(t, 1).grow("a")
	y := newYard(t, l.public)
	text, _ := textOf(l.at(1))
	with := func(extra string) []byte {
		msg, err := note.Sign(&note.Note{Text: text + extra}, l.signer)
		if err != nil {
			t.Fatal(err)
		}
		return request{note: msg}.encode()
	}
	line := y.wants(http.StatusOK, with("more\nand more\n"))
	if _, err := note.Open([]byte(text+"more\nand more\n\n"+line), note.VerifierList(y.key.Key())); err != nil {
		t.Error(err)
	}
	if _, err := parseHead(text + "\n"); err == nil {
		t.Error("an empty extension line")
	}
}

func TestNewRefuses(t *testing.T) {
	key, _, public := cosigner(t, 7, "yard.example/witness")
	s := &State{last: map[string]string{}}
	for name, logs := range map[string][]string{"no log": nil, "no key": {"hello"}, "a witness's key": {public}} {
		if _, err := New(Config{Key: key, Logs: logs, State: s}); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

func TestKeys(t *testing.T) {
	_, secret, public := cosigner(t, 7, "yard.example/witness")
	if k, err := ParseKey(public); err != nil || k.Name() != "yard.example/witness" {
		t.Errorf("%v", err)
	}
	l := newLog(t, 1)
	for _, bad := range []string{"", "a", "a+b+c", public[1:], strings.Replace(public, "yard", "barn", 1), l.public, secret, public + "=", public[:len(public)-3]} {
		if _, err := ParseKey(bad); err == nil {
			t.Errorf("took %q", bad)
		}
	}
	for _, bad := range []string{"", public, secret[1:], strings.Replace(secret, "yard", "barn", 1), "PRIVATE+KEY+"} {
		if _, err := ParseCosigner(bad); err == nil {
			t.Errorf("took a secret that is none")
		}
	}
	for _, bad := range []string{"", "a b", "a+b", "a\nb", "\xff", strings.Repeat("x", 256)} {
		if _, _, err := NewKey(bytes.NewReader(make([]byte, 64)), bad); err == nil {
			t.Errorf("took the name %q", bad)
		}
	}
}
