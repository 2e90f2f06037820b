package witness

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// algCosignature is the signature type of c2sp.org/tlog-cosignature for Ed25519.
const algCosignature = 0x04

// The lengths in a signature: time, and the signature itself.
const (
	timeSize = 8
	sigSize  = timeSize + ed25519.SignatureSize
)

// ErrKey is returned for a key that is none, or none for cosignatures.
var ErrKey = errors.New("not a key for cosignatures")

// NewKey makes a witness's key: secret to cosign with, public for those who check,
// both in signed-note form with the signature type 0x04. The name should be that of
// whoever runs the witness, such as "safety.example/witness".
func NewKey(random io.Reader, name string) (secret, public string, err error) {
	if !validName(name) {
		return "", "", fmt.Errorf("%w: the name %q", ErrKey, name)
	}
	pub, priv, err := ed25519.GenerateKey(random)
	if err != nil {
		return "", "", err
	}
	id := keyID(name, pub)
	form := func(key []byte) string {
		return fmt.Sprintf("%s+%08x+%s", name, id, base64.StdEncoding.EncodeToString(append([]byte{algCosignature}, key...)))
	}
	return "PRIVATE+KEY+" + form(priv.Seed()), form(pub), nil
}

func validName(name string) bool {
	return name != "" && len(name) <= 255 && utf8.ValidString(name) && strings.IndexFunc(name, unicode.IsSpace) < 0 && !strings.Contains(name, "+")
}

func keyID(name string, pub ed25519.PublicKey) uint32 {
	sum := sha256.Sum256(append([]byte(name+"\n\x04"), pub...))
	return binary.BigEndian.Uint32(sum[:4])
}

// split takes a key in signed-note form apart.
func split(text string) (name string, id uint32, key []byte, err error) {
	parts := strings.SplitN(text, "+", 3)
	if len(parts) != 3 || !validName(parts[0]) || len(parts[1]) != 8 {
		return "", 0, nil, ErrKey
	}
	n, err := strconv.ParseUint(parts[1], 16, 32)
	raw, err2 := base64.StdEncoding.Strict().DecodeString(parts[2])
	if err != nil || err2 != nil || len(raw) != 33 || raw[0] != algCosignature {
		return "", 0, nil, ErrKey
	}
	return parts[0], uint32(n), raw[1:], nil
}

// Key is a witness's public key. It is a note.Verifier.
type Key struct {
	name string
	id   uint32
	pub  ed25519.PublicKey
}

// ParseKey reads a public key.
func ParseKey(text string) (Key, error) {
	name, id, pub, err := split(text)
	if err != nil || keyID(name, pub) != id {
		return Key{}, ErrKey
	}
	return Key{name, id, pub}, nil
}

// Name is of note.Verifier.
func (k Key) Name() string { return k.name }

// KeyHash is of note.Verifier.
func (k Key) KeyHash() uint32 { return k.id }

// Verify is of note.Verifier: msg is the checkpoint's text, sig time and signature.
func (k Key) Verify(msg, sig []byte) bool {
	if len(sig) != sigSize {
		return false
	}
	at := binary.BigEndian.Uint64(sig)
	return at <= 1<<63-1 && ed25519.Verify(k.pub, statement(msg, at), sig[timeSize:])
}

// statement is what is signed.
func statement(text []byte, at uint64) []byte {
	return append(fmt.Appendf(nil, "cosignature/v1\ntime %d\n", at), text...)
}

// Cosigner signs.
type Cosigner struct {
	key  Key
	priv ed25519.PrivateKey
}

// ParseCosigner reads a secret key.
func ParseCosigner(secret string) (Cosigner, error) {
	rest, ok := strings.CutPrefix(secret, "PRIVATE+KEY+")
	name, id, seed, err := split(rest)
	if !ok || err != nil {
		return Cosigner{}, ErrKey
	}
	priv := ed25519.NewKeyFromSeed(seed)
	pub := priv.Public().(ed25519.PublicKey)
	if keyID(name, pub) != id {
		return Cosigner{}, ErrKey
	}
	return Cosigner{Key{name, id, pub}, priv}, nil
}

// Key is the public part.
func (c Cosigner) Key() Key { return c.key }

// line is a signature line over a checkpoint's text.
func (c Cosigner) line(text []byte, now time.Time) string {
	at := uint64(now.Unix())
	raw := binary.BigEndian.AppendUint32(nil, c.key.id)
	raw = binary.BigEndian.AppendUint64(raw, at)
	raw = append(raw, ed25519.Sign(c.priv, statement(text, at))...)
	return fmt.Sprintf("— %s %s\n", c.key.name, base64.StdEncoding.EncodeToString(raw))
}
