package backup

import (
	"regexp"
	"slices"
	"strings"
)

// The names of what is in a backup.
const (
	About      = "about.json"
	Checkpoint = "checkpoint.txt"
	Ledger     = "ledger.db"
	Mail       = "mail.db"
	Cosigned   = "cosigned.txt"
	Key        = "log.key"
	Sums       = "SHA256SUMS"
	Evidence   = "evidence/" // and a sum
)

const (
	maxSmall    = 1 << 20
	maxEvidence = 20 << 20
	maxLarge    = 64 << 30
	maxSums     = 64 << 20
)

var evidenceName = regexp.MustCompile(`^evidence/[0-9a-f]{64}$`)

// limit is how many bytes a file of that name may have; ok is false for a name
// that a backup does not have. No other name is ever written to a disk.
func limit(name string) (n int64, ok bool) {
	switch name {
	case About, Checkpoint, Cosigned, Key:
		return maxSmall, true
	case Ledger, Mail:
		return maxLarge, true
	case Sums:
		return maxSums, true
	}
	return maxEvidence, evidenceName.MatchString(name)
}

// place is where a name stands in the order.
func place(name string) int {
	if strings.HasPrefix(name, Evidence) {
		name = Evidence
	}
	return slices.Index([]string{About, Checkpoint, Ledger, Mail, Cosigned, Evidence, Key, Sums}, name)
}
