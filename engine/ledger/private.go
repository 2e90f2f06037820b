package ledger

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
)

// Commitment is what a record holds in place of a private value: hex of
// HMAC-SHA256 under the salt. It shows later that the value kept beside the
// log is the one that was meant, and says nothing once the salt is erased. A
// plain hash of a name would not do: names are few, and could be tried.
func Commitment(salt []byte, value string) string {
	m := hmac.New(sha256.New, salt)
	m.Write([]byte(value))
	return hex.EncodeToString(m.Sum(nil))
}

// BlobSum is the name a blob goes by: hex of its SHA-256.
func BlobSum(b []byte) string {
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:])
}
