package proof

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// The parts with one name.
const (
	partReadme     = "README.txt"
	partAbout      = "about.json"
	partCheckpoint = "checkpoint.txt"
	partEvidence   = "evidence.txt"
	partKey        = "key.txt"
)

// The folders.
const (
	folderBlobs    = "blobs/"
	folderEvidence = "evidence/"
	folderProofs   = "proofs/"
	folderRecords  = "records/"
	folderSince    = "since/"
)

// What a name can be.
type partKind int

const (
	noPart partKind = iota
	single
	sumPart
	numberPart
)

var (
	sumForm    = regexp.MustCompile(`^(blobs|evidence)/[0-9a-f]{64}$`)
	numberForm = regexp.MustCompile(`^(records/[0-9]{10}\.json|proofs/[0-9]{10}\.tlog-proof|since/[0-9]{10}\.(checkpoint|proof))$`)
)

// partName says what a name is. Anything but the names that a file has is none:
// there is no other folder, no dot and no slash to climb out by.
func partName(name string) partKind {
	switch {
	case name == partReadme, name == partAbout, name == partCheckpoint, name == partEvidence, name == partKey:
		return single
	case sumForm.MatchString(name):
		return sumPart
	case numberForm.MatchString(name):
		return numberPart
	}
	return noPart
}

const maxNumber = 9_999_999_999

func recordPart(seq int64) string { return fmt.Sprintf("%s%010d.json", folderRecords, seq) }
func proofPart(seq int64) string  { return fmt.Sprintf("%s%010d.tlog-proof", folderProofs, seq) }
func sincePart(size int64) string { return fmt.Sprintf("%s%010d.checkpoint", folderSince, size) }
func hashesPart(size int64) string {
	return fmt.Sprintf("%s%010d.proof", folderSince, size)
}

// numberOf is the number in a name that numberForm has matched.
func numberOf(name string) int64 {
	_, rest, _ := strings.Cut(name, "/")
	n, err := strconv.ParseInt(rest[:10], 10, 64)
	if err != nil {
		return -1
	}
	return n
}
