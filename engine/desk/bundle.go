package desk

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"golang.org/x/mod/sumdb/note"

	"firstrod/engine"
)

// A bundle is a ZIP without compression with the files of the packs,
// publication.json, and manifest.note: a signed note as sumdb/note writes it,
// Ed25519, over five lines:
//
//	firstrod rules bundle 1
//	SERIAL
//	SUM             SHA-256 over the files, see Publication.Sum
//	SHA-256 of publication.json
//	AT              RFC 3339, UTC, as in publication.json
const bundleFormat = "firstrod rules bundle 1"

// MaxBundle is the largest bundle in bytes.
const MaxBundle = maxArchive

// manifest is the text that is signed.
type manifest struct {
	serial      int64
	sum         string
	publication string
	at          time.Time
}

func manifestOf(p Publication, raw []byte) manifest {
	h := sha256.Sum256(raw)
	return manifest{p.Serial, p.Sum, hex.EncodeToString(h[:]), p.At}
}

func (m manifest) String() string {
	return fmt.Sprintf("%s\n%d\n%s\n%s\n%s\n", bundleFormat, m.serial, m.sum, m.publication, m.at.UTC().Format(time.RFC3339))
}

// parseManifest takes what String writes and nothing else.
func parseManifest(text string) (manifest, error) {
	lines := strings.Split(text, "\n")
	if lines[0] != bundleFormat {
		return manifest{}, refuse("this bundle has a form that this program does not know")
	}
	var m manifest
	var errs [2]error
	if len(lines) == 6 {
		m.serial, errs[0] = strconv.ParseInt(lines[1], 10, 64)
		m.sum, m.publication = lines[2], lines[3]
		m.at, errs[1] = time.Parse(time.RFC3339, lines[4])
	}
	if errors.Join(errs[:]...) != nil || m.String() != text {
		return manifest{}, refuse("%s is not as it is written when a bundle is made", manifestName)
	}
	return m, nil
}

// NewKey makes an Ed25519 key pair in the form of signed notes: secret to seal
// with, public to check with. The name says whose it is; it has no spaces and no
// plus signs.
func NewKey(random io.Reader, name string) (secret, public string, err error) {
	if secret, public, err = note.GenerateKey(random, name); err != nil {
		return "", "", err
	}
	// GenerateKey takes any name; a bad one shows when the key is read back.
	if _, err := note.NewVerifier(public); err != nil {
		return "", "", &engine.Error{Kind: engine.Usage, Say: fmt.Sprintf("%q cannot be the name of a key", name),
			Hint: "a name has no spaces and no plus signs", Err: err}
	}
	return secret, public, nil
}

// Verifier reads a public key as NewKey makes it.
func Verifier(public string) (note.Verifier, error) {
	v, err := note.NewVerifier(strings.TrimSpace(public))
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "this is not a key to check rules with",
			Hint: "it is one line, NAME+8 HEX DIGITS+LETTERS, as firstrod rules key prints it", Err: err}
	}
	return v, nil
}

// Signer reads a secret key as NewKey makes it.
func Signer(secret string) (note.Signer, error) {
	s, err := note.NewSigner(strings.TrimSpace(secret))
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "this is not a key to sign rules with", Hint: "firstrod rules key makes one"} // the cause would show the key
	}
	return s, nil
}

// Seal makes a bundle of published rules, signed by s.
func Seal(c Candidate, s note.Signer) ([]byte, error) {
	if !c.Published {
		return nil, &engine.Error{Kind: engine.Rules, Say: c.Unpublished, Hint: "publish first: firstrod rules publish"}
	}
	raw, err := c.Publication.encode()
	if err != nil {
		return nil, err
	}
	signed, err := note.Sign(&note.Note{Text: manifestOf(c.Publication, raw).String()}, s)
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
	case manifestOf(p, raw).String() != m.String():
		return Candidate{}, refuse("%s is not the one that was signed", publicationName)
	case c.Sum != m.sum:
		return Candidate{}, refuse("the files are not those that were signed: one was changed, added or taken away")
	}
	c.Publication, c.Published, c.bundle = p, true, bundle
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
