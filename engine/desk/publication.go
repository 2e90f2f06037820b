package desk

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"firstrod/engine"
)

// Publication says which files are to be in force, from whom, and why.
type Publication struct {
	Serial     int64     `json:"serial"`      // from 1; it only grows
	Sum        string    `json:"sum"`         // SHA-256 in hex over the files: paths, lengths, bytes
	By         string    `json:"by"`          // who published
	Why        string    `json:"why"`         // the reason, for the record
	At         time.Time `json:"at"`          // when, in UTC, whole seconds
	RollbackOf int64     `json:"rollback_of"` // the serial whose files these are again; 0: these are new
}

// Same says whether two are one and the same publication.
func (p Publication) Same(q Publication) bool {
	at := p.At.Equal(q.At)
	p.At, q.At = time.Time{}, time.Time{}
	return at && p == q
}

// Follows says why p may not come into force after last, or nil. The same
// publication again is fine. Without this an old set of rules, once good and
// rightly signed, could be played back.
func (p Publication) Follows(last Publication) error {
	switch {
	case p.Serial > last.Serial || p.Same(last):
		return nil
	case p.Serial == last.Serial && p.Sum != last.Sum:
		return older("publication %d is in use with other files", p.Serial)
	case p.Serial == last.Serial:
		return older("publication %d is in use by another person, for another reason or from another time", p.Serial)
	}
	return older("publication %d is older than %d, which has been in force", p.Serial, last.Serial)
}

func older(format string, args ...any) error {
	e := refuse(format, args...)
	e.Hint = "earlier rules come back as a new publication: firstrod rules rollback"
	return e
}

var hexSum = regexp.MustCompile(`^[0-9a-f]{64}$`)

// check says what is wrong with a publication, or nil.
func (p Publication) check() error {
	switch {
	case p.Serial < 1:
		return refuse("the serial is %d; it counts from 1", p.Serial)
	case !hexSum.MatchString(p.Sum):
		return refuse("the sum is not a SHA-256 in hex")
	case !said(p.By, 200):
		return usage("say who publishes", "--by NAME, one line")
	case !said(p.Why, 1000):
		return usage("say why the rules are published", "--why TEXT, one line; it stands in the record")
	case p.At.IsZero() || !p.At.Equal(p.At.Truncate(time.Second)):
		return refuse("the time of the publication is missing or is no whole second")
	case p.RollbackOf < 0 || p.RollbackOf >= p.Serial:
		return refuse("publication %d cannot be the files of %d again", p.Serial, p.RollbackOf)
	}
	return nil
}

func usage(say, hint string) error { return &engine.Error{Kind: engine.Usage, Say: say, Hint: hint} }

// said is a line of text with something on it.
func said(text string, most int) bool {
	return strings.TrimSpace(text) != "" && utf8.ValidString(text) && utf8.RuneCountInString(text) <= most &&
		!strings.ContainsFunc(text, unicode.IsControl)
}

// encode writes publication.json.
func (p Publication) encode() ([]byte, error) {
	p.At = p.At.UTC()
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	err := enc.Encode(p)
	return b.Bytes(), err
}

// parsePublication reads publication.json. What it would not write the same way
// it does not take: nobody writes the file by hand.
func parsePublication(raw []byte) (Publication, error) {
	var p Publication
	if len(raw) > 10_000 {
		return p, refuse("%s is too large", publicationName)
	}
	if err := json.Unmarshal(raw, &p); err != nil {
		return p, &engine.Error{Kind: engine.Rules, Say: publicationName + " cannot be read", Err: err}
	}
	again, err := p.encode()
	if err != nil || !bytes.Equal(again, raw) {
		return Publication{}, refuse("%s is not as it is written when rules are published", publicationName)
	}
	return p, p.check()
}
