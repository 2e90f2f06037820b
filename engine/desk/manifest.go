package desk

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"firstrod/engine"
)

// A manifest is a signed note as sumdb/note writes it, Ed25519, over five lines:
//
//	firstrod rules bundle 1
//	SERIAL
//	SUM             SHA-256 over the files, see Publication.Sum
//	SHA-256 of publication.json
//	AT              RFC 3339, UTC, as in publication.json
//
// With a promise to sign anew the first line ends in 2, so that a program which
// knows nothing of promises says so, and there is a sixth:
//
//	RENEW BY        a day, YYYY-MM-DD
const (
	bundleFormat   = "firstrod rules bundle 1"
	promisedFormat = "firstrod rules bundle 2"
)

// manifest is the text that is signed.
type manifest struct {
	serial      int64
	sum         string
	publication string
	at          time.Time
	renewBy     time.Time // zero: no promise
}

func manifestOf(p Publication, raw []byte, renewBy time.Time) manifest {
	h := sha256.Sum256(raw)
	return manifest{p.Serial, p.Sum, hex.EncodeToString(h[:]), p.At, renewBy}
}

func (m manifest) String() string {
	format, promise := bundleFormat, ""
	if !m.renewBy.IsZero() {
		format, promise = promisedFormat, m.renewBy.UTC().Format(time.DateOnly)+"\n"
	}
	return fmt.Sprintf("%s\n%d\n%s\n%s\n%s\n%s", format, m.serial, m.sum, m.publication, m.at.UTC().Format(time.RFC3339), promise)
}

// parseManifest takes what String writes and nothing else.
func parseManifest(text string) (manifest, error) {
	lines := strings.Split(text, "\n")
	want := map[string]int{bundleFormat: 6, promisedFormat: 7}[lines[0]]
	if want == 0 {
		return manifest{}, refuse("this bundle has a form that this program does not know")
	}
	var m manifest
	var errs [3]error
	if len(lines) == want {
		m.serial, errs[0] = strconv.ParseInt(lines[1], 10, 64)
		m.sum, m.publication = lines[2], lines[3]
		m.at, errs[1] = time.Parse(time.RFC3339, lines[4])
	}
	if len(lines) == want && want == 7 {
		m.renewBy, errs[2] = time.Parse(time.DateOnly, lines[5])
	}
	if errors.Join(errs[:]...) != nil || m.String() != text {
		return manifest{}, refuse("%s is not as it is written when a bundle is made", manifestName)
	}
	return m, nil
}

// Promise reads the day by which rules are to be signed anew.
func Promise(day string, now time.Time) (time.Time, error) {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return t, &engine.Error{Kind: engine.Usage, Say: day + " is not a day", Hint: "write it like 2027-01-31", Err: err}
	}
	if t.Before(now.UTC()) {
		return t, &engine.Error{Kind: engine.Usage, Say: day + " is not ahead; a promise to sign anew by then is broken already", Hint: "name a later day"}
	}
	return t, nil
}

// promiseOver is how long after the beginning of a day by UTC it is over
// everywhere on earth.
const promiseOver = 36 * time.Hour

// overdue says whether a promise to sign anew was not kept.
func overdue(renewBy, now time.Time) bool {
	return !renewBy.IsZero() && !now.Before(renewBy.Add(promiseOver))
}

// brokenPromise is what a person reads then. That rules are old is no reason to
// use none, and old ones block what they blocked: they stay.
func brokenPromise(p Publication, renewBy time.Time) (say, hint string) {
	return fmt.Sprintf("Rules %d were to be signed anew by %s, and nothing newer has come: the server may be behind, or somebody may be holding newer rules back",
			p.Serial, renewBy.UTC().Format(time.DateOnly)),
		"they stay in force and block no less than before; ask who publishes them for what is newest"
}
