package desk

import (
	"bytes"
	"encoding/base64"
	"errors"

	"golang.org/x/mod/sumdb/note"

	"firstrod/engine"
)

// A bundle is a ZIP without compression with the files of the packs,
// publication.json, and manifest.note, see manifest.

// MaxBundle is the largest bundle in bytes.
const MaxBundle = maxArchive

// Seal makes a bundle of published rules, signed by s, with the promise of c if
// it has one.
func Seal(c Candidate, s note.Signer) ([]byte, error) {
	if !c.Published {
		return nil, &engine.Error{Kind: engine.Rules, Say: c.Unpublished, Hint: "publish first: firstrod rules publish"}
	}
	raw, err := c.Publication.encode()
	if err != nil {
		return nil, err
	}
	signed, err := note.Sign(&note.Note{Text: manifestOf(c.Publication, raw, c.RenewBy).String()}, s)
	if err != nil {
		return nil, err
	}
	return pack(append([]file{{manifestName, signed}, {publicationName, raw}}, c.files...))
}

// Unseal opens a bundle that must be signed by the key of v, with every byte as
// it was signed, and not one file more or less. From says where it came from.
func Unseal(bundle []byte, v note.Verifier, from string) (Candidate, error) {
	files, others, err := unpack(bundle, manifestName, publicationName)
	if err != nil {
		return Candidate{}, err
	}
	m, err := openManifest(others[manifestName], v)
	if err != nil {
		return Candidate{}, err
	}
	c, err := newCandidate(files, from)
	if err != nil {
		return Candidate{}, err
	}
	raw := others[publicationName]
	p, err := parsePublication(raw)
	if err != nil {
		return Candidate{}, err
	}
	switch {
	case manifestOf(p, raw, m.renewBy).String() != m.String():
		return Candidate{}, refuse("%s is not the one that was signed", publicationName)
	case c.Sum != m.sum:
		return Candidate{}, refuse("the files are not those that were signed: one was changed, added or taken away")
	}
	c.Publication, c.RenewBy, c.Published, c.bundle = p, m.renewBy, true, bundle
	return c, nil
}

// Open opens the bundle in a file, see [Unseal].
func Open(name string, v note.Verifier) (Candidate, error) {
	bundle, err := readFile(name)
	if err != nil {
		return Candidate{}, unreadable(name, err)
	}
	return Unseal(bundle, v, name)
}

func openManifest(signed []byte, v note.Verifier) (manifest, error) {
	switch {
	case v == nil:
		return manifest{}, refuse("there is no key to check this bundle with")
	case signed == nil:
		return manifest{}, refuse("this bundle is not signed: it has no %s", manifestName)
	case !bytes.Contains(signed, []byte("\n\n\u2014 ")):
		return manifest{}, refuse("this bundle is not signed: %s has no signature", manifestName)
	}
	n, err := note.Open(signed, note.VerifierList(v))
	if _, ok := errors.AsType[*note.UnverifiedNoteError](err); ok {
		return manifest{}, &engine.Error{Kind: engine.Rules, Say: "this bundle is signed with another key than " + v.Name(),
			Hint: "ask who sent it which key is right; do not use it before you know", Err: err}
	}
	if err != nil {
		return manifest{}, &engine.Error{Kind: engine.Rules, Say: "the signature of this bundle does not hold", Err: err}
	}
	for _, s := range n.Sigs {
		// Lax base64 ignores the last bits: two spellings of one signature.
		if _, err := base64.StdEncoding.Strict().DecodeString(s.Base64); err != nil {
			return manifest{}, &engine.Error{Kind: engine.Rules, Say: "the signature of this bundle does not hold", Err: err}
		}
	}
	return parseManifest(n.Text)
}
