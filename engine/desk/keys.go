package desk

import (
	"fmt"
	"io"
	"strings"

	"golang.org/x/mod/sumdb/note"

	"firstrod/engine"
)

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

// secretPrefix is what a secret key begins with, as sumdb/note writes it.
const secretPrefix = "PRIVATE+KEY+"

// Verifier reads a public key as NewKey makes it.
func Verifier(public string) (note.Verifier, error) {
	if strings.HasPrefix(strings.TrimSpace(public), secretPrefix) {
		// The cause would show the key.
		return nil, &engine.Error{Kind: engine.Usage, Say: "this is the private key, which signs rules; the public one is wanted, which checks them",
			Hint: "firstrod rules key has written it beside the private one, to a file that ends in .pub; give the private key to nobody"}
	}
	v, err := note.NewVerifier(strings.TrimSpace(public))
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "this is not a key to check rules with",
			Hint: "it is one line, NAME+8 HEX DIGITS+LETTERS, as firstrod rules key prints it", Err: err}
	}
	return v, nil
}

// Signer reads a secret key as NewKey makes it.
func Signer(secret string) (note.Signer, error) {
	if _, err := note.NewVerifier(strings.TrimSpace(secret)); err == nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "this is the public key, which checks rules; the private one is wanted, which signs them",
			Hint: "firstrod rules key has written it to the file of the same name without .pub"}
	}
	s, err := note.NewSigner(strings.TrimSpace(secret))
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "this is not a key to sign rules with", Hint: "firstrod rules key makes one"} // the cause would show the key
	}
	return s, nil
}
