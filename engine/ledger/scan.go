package ledger

import (
	"encoding/binary"
	"strings"
	"time"
	"unicode/utf8"
)

// scan reads a record in its one form without reflection: a record of the kinds
// that make up nearly all of a ledger, fields in their order, nothing escaped. It
// takes nothing that Decode's long way would not take, and gives the same record;
// at whatever it does not know it gives up, and the long way decides.
//
// All texts of the record are parts of one string.
type scan struct {
	s    string
	i    int
	ok   bool
	keep *buffers
}

// buffers are what a record is put into. They can be used again once the record is
// not looked at any more.
type buffers struct {
	facts    []Fact
	texts    []string
	findings map[string][]string
	by       Actor
	sign     Sign
}

// decodeShort reads a record the short way. It says whether it could; where it
// could not, r is of no use.
func decodeShort(b []byte, r *Record, keep *buffers) bool {
	c := scan{s: string(b), ok: true, keep: keep}
	*r = Record{}
	keep.facts, keep.texts = keep.facts[:0], keep.texts[:0]
	c.word(`{"v":`)
	r.V = int(c.number())
	c.word(`,"seq":`)
	r.Seq = c.number()
	c.word(`,"key":`)
	r.Key = c.text()
	c.word(`,"kind":`)
	r.Kind = Kind(c.text())
	c.word(`,"logged":`)
	r.Logged = c.time()
	c.word(`,"at":`)
	r.At = c.time()
	c.subject(r)
	c.said(r)
	c.found(r)
	c.ending(r)
	c.word(`}`)
	return c.ok && c.i == len(c.s)
}

// subject is which bore, and who.
func (c *scan) subject(r *Record) {
	r.Bore = c.field(`,"bore":`)
	if c.has(`,"ver":`) {
		r.Ver = c.number()
		c.ok = c.ok && r.Ver != 0
	}
	if c.has(`,"by":{"id":`) {
		r.By = &c.keep.by
		r.By.ID = c.text()
		c.word(`,"role":`)
		r.By.Role = c.text()
		c.word(`}`)
	}
	r.From = c.field(`,"from":`)
	r.Lang = c.field(`,"lang":`)
}

// said is what was said.
func (c *scan) said(r *Record) {
	r.Typed = c.field(`,"typed":`)
	r.Why = c.field(`,"why":`)
	if c.has(`,"facts":[`) {
		for more := true; more && c.ok; more = c.has(`,`) {
			c.keep.facts = append(c.keep.facts, Fact{})
			c.fact(&c.keep.facts[len(c.keep.facts)-1])
		}
		r.Facts = c.keep.facts
		c.word(`]`)
	}
	if c.has(`,"drops":`) {
		r.Drops = c.list()
	}
}

func (c *scan) fact(f *Fact) {
	c.word(`{"key":`)
	f.Key = c.text()
	c.word(`,"kind":`)
	f.Kind = c.text()
	c.word(`,"typed":`)
	f.Typed = c.text()
	c.word(`,"value":`)
	f.Value = c.text()
	f.Unit = c.field(`,"unit":`)
	if c.has(`,"items":`) {
		f.Items = c.list()
	}
	f.From = c.field(`,"from":`)
	c.word(`}`)
}

// found is what came of it. A map is written in the order of its keys.
func (c *scan) found(r *Record) {
	if c.has(`,"findings":{`) {
		if c.keep.findings == nil {
			c.keep.findings = make(map[string][]string, 2)
		}
		clear(c.keep.findings)
		r.Findings = c.keep.findings
		last := ""
		for more := true; more && c.ok; more = c.has(`,`) {
			status := c.text()
			c.word(`:`)
			c.ok = c.ok && (len(r.Findings) == 0 || status > last)
			last = status
			r.Findings[status] = c.list()
		}
		c.word(`}`)
	}
	if c.has(`,"gone":`) {
		r.Gone = c.list()
	}
}

// ending is the rest. What opens, introduces, releases or shows takes the long way.
func (c *scan) ending(r *Record) {
	r.Event = c.field(`,"event":`)
	r.Check = c.field(`,"check":`)
	r.State = c.field(`,"state":`)
	r.Void = c.field(`,"void":`)
	r.Rules = c.field(`,"rules":`)
	if c.has(`,"sign":{"meaning":`) {
		r.Sign = &c.keep.sign
		r.Sign.Meaning = c.text()
		c.word(`,"input":`)
		r.Sign.Input = c.text()
		c.word(`,"through":`)
		r.Sign.Through = c.number()
		c.word(`}`)
	}
	if c.has(`,"refers":[`) {
		for more := true; more && c.ok; more = c.has(`,`) {
			r.Refers = append(r.Refers, c.number())
		}
		c.word(`]`)
	}
}

// has takes a word if it is next.
func (c *scan) has(w string) bool {
	if !strings.HasPrefix(c.s[c.i:], w) {
		return false
	}
	c.i += len(w)
	return true
}

// word takes a word that must be next.
func (c *scan) word(w string) {
	if !c.has(w) {
		c.ok = false
	}
}

// field is a text that is left out where it is empty.
func (c *scan) field(name string) string {
	if !c.has(name) {
		return ""
	}
	s := c.text()
	c.ok = c.ok && s != ""
	return s
}

// list is a list of texts, at least one.
func (c *scan) list() []string {
	c.word(`[`)
	start := len(c.keep.texts)
	for more := true; more && c.ok; more = c.has(`,`) {
		c.keep.texts = append(c.keep.texts, c.text())
	}
	c.word(`]`)
	end := len(c.keep.texts)
	return c.keep.texts[start:end:end]
}

// text is a string without an escape.
func (c *scan) text() string {
	if c.i >= len(c.s) || c.s[c.i] != '"' {
		c.ok = false
		return ""
	}
	s := c.s[c.i+1:]
	end := strings.IndexByte(s, '"')
	if end < 0 {
		c.ok = false
		return ""
	}
	c.i += end + 2
	s = s[:end]
	if !plain(s) {
		c.ok = false
	}
	return s
}

// plain says whether the encoder writes a string as it is: nothing below a blank,
// no backslash, valid UTF-8, and neither of the two line ends of Unicode, which are
// always escaped.
func plain(s string) bool {
	// Eight bytes at a time, as long as all are ASCII and none is to be escaped.
	const ones, high = 0x0101010101010101, 0x8080808080808080
	rest := s
	for len(rest) >= 8 {
		x := binary.LittleEndian.Uint64([]byte(rest[:8]))
		slash := x ^ ones*'\\'
		if (x|(x-ones*0x20)|(slash-ones)&^slash)&high != 0 {
			break
		}
		rest = rest[8:]
	}
	ascii := true
	for i := 0; i < len(rest); i++ {
		switch b := rest[i]; {
		case b < 0x20 || b == '\\':
			return false
		case b >= utf8.RuneSelf:
			ascii = false
		}
	}
	return ascii || utf8.ValidString(s) && !strings.Contains(s, "\u2028") && !strings.Contains(s, "\u2029")
}

// number is a whole number from 0 on, of at most 18 digits.
func (c *scan) number() (n int64) {
	start := c.i
	for c.i < len(c.s) && c.s[c.i]-'0' <= 9 {
		n = n*10 + int64(c.s[c.i]-'0')
		c.i++
	}
	digits := c.i - start
	if digits == 0 || digits > 18 || digits > 1 && c.s[start] == '0' {
		c.ok = false
	}
	return n
}

// time is a time in UTC, with no more digits than it needs.
func (c *scan) time() time.Time {
	s := c.text()
	const form = "2006-01-02T15:04:05"
	if len(s) <= len(form) || s[len(s)-1] != 'Z' || s[4] != '-' || s[7] != '-' || s[10] != 'T' || s[13] != ':' || s[16] != ':' {
		c.ok = false
		return time.Time{}
	}
	year, month, day := c.digits(s[0:4]), c.digits(s[5:7]), c.digits(s[8:10])
	hour, minute, second := c.digits(s[11:13]), c.digits(s[14:16]), c.digits(s[17:19])
	nano := 0
	if frac := s[len(form) : len(s)-1]; frac != "" {
		if len(frac) < 2 || len(frac) > 10 || frac[0] != '.' || frac[len(frac)-1] == '0' {
			c.ok = false
			return time.Time{}
		}
		nano = c.digits(frac[1:])
		for range 10 - len(frac) {
			nano *= 10
		}
	}
	if month < 1 || month > 12 || day < 1 || day > 28 && !hasDay(year, month, day) || hour > 23 || minute > 59 || second > 59 {
		c.ok = false
		return time.Time{}
	}
	return time.Date(year, time.Month(month), day, hour, minute, second, nano, time.UTC)
}

// hasDay says whether a month has a day.
func hasDay(year, month, day int) bool {
	return time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC).Day() == day
}

func (c *scan) digits(s string) (n int) {
	for i := range len(s) {
		d := s[i] - '0'
		if d > 9 {
			c.ok = false
		}
		n = n*10 + int(d)
	}
	return n
}
