package desk

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"time"
)

// Bounds on what is read, from a folder, an archive or the web. A real folder
// has some two hundred files of 3 KB.
const (
	MaxFiles = 2000     // files
	MaxFile  = 1 << 20  // bytes in one file
	MaxPack  = 16 << 20 // bytes in all files
	maxPath  = 200      // bytes in a path
)

// publicationName and manifestName are the files beside the packs.
const (
	publicationName = "publication.json"
	manifestName    = "manifest.note"
)

// schemasName is a folder beside the packs with what the stock rule engine wants to
// know; it decides nothing, so it is neither read nor carried.
const schemasName = "schemas"

// file is one file with its exact bytes.
type file struct {
	path string
	data []byte
}

// plain is a path that means the same on every system. No part begins with a
// dot, so that no hidden file and no ".." is one.
var plain = regexp.MustCompile(`^[A-Za-z0-9_-][A-Za-z0-9._-]*(/[A-Za-z0-9_-][A-Za-z0-9._-]*)*$`)

// misplaced says why a file may not be in a pack at this path, or nothing.
func misplaced(path string) string {
	top, rest, _ := strings.Cut(path, "/")
	switch {
	case len(path) > maxPath:
		return "the path is too long"
	case strings.HasPrefix(path, "/") || strings.Contains(path, `\`) || slices.Contains(strings.Split(path, "/"), ".."):
		return "the path leads out of the folder"
	case !plain.MatchString(path):
		return "the name may hold letters, digits, dots, dashes and underscores only, and may not begin with a dot"
	case top == "base" && rest != "":
		return ""
	case top == "local" && strings.Contains(rest, "/"):
		return ""
	}
	return "this belongs neither to base nor to a folder in local, so nobody would read it"
}

// shelf collects files and keeps to the bounds.
type shelf struct {
	files  []file
	size   int
	folded map[string]bool // paths in small letters
}

// add takes a file, or says why not.
func (s *shelf) add(path string, data []byte) string {
	if s.folded == nil {
		s.folded = map[string]bool{}
	}
	fold := strings.ToLower(path)
	switch {
	case len(data) > MaxFile:
		return fmt.Sprintf("this file is larger than %d MiB", MaxFile>>20)
	case s.size+len(data) > MaxPack:
		return fmt.Sprintf("the files together are larger than %d MiB", MaxPack>>20)
	case len(s.files) == MaxFiles:
		return fmt.Sprintf("there are more than %d files", MaxFiles)
	case s.folded[fold]:
		return "there are two files of this name"
	}
	s.folded[fold] = true
	s.size += len(data)
	s.files = append(s.files, file{path, data})
	return ""
}

// sorted gives the files in the order of their paths.
func (s *shelf) sorted() []file {
	slices.SortFunc(s.files, func(a, b file) int { return strings.Compare(a.path, b.path) })
	return s.files
}

// sumOf is the SHA-256, in hex, over the path, length and bytes of each file in
// the order of the paths. A path holds no line end, so no two sets of files are
// written the same.
func sumOf(files []file) string {
	h := sha256.New()
	fmt.Fprintf(h, "firstrod packs 1\n")
	for _, f := range files {
		fmt.Fprintf(h, "%s\n%d\n", f.path, len(f.data))
		h.Write(f.data)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// Candidate is rules that might come into force: the bytes of all files as they
// were read at one moment, and what was published.
type Candidate struct {
	Files       fs.FS       // base/AREA/..., local/CODE/...; in memory, it never changes
	Sum         string      // of the files as they are, see Publication.Sum
	Publication Publication // the zero value where nothing was ever published
	Published   bool        // whether the files are what Publication names
	Unpublished string      // why they are not, as a sentence; empty if they are
	From        string      // the folder, file or address
	RenewBy     time.Time   // the day by which its signer has promised to sign anew; zero: no promise

	files  []file
	bundle []byte // as it came, if it came sealed
}

func newCandidate(files []file, from string) (Candidate, error) {
	blob, err := pack(files)
	if err != nil {
		return Candidate{}, err
	}
	fsys, err := openPack(blob)
	return Candidate{Files: fsys, Sum: sumOf(files), From: from, files: files}, err
}

// Base is the base pack, or nil where there is none.
func (c Candidate) Base() fs.FS { return c.sub("base") }

// Local holds the local packs, a folder for each code, or is nil where there are
// none.
func (c Candidate) Local() fs.FS { return c.sub("local") }

func (c Candidate) sub(name string) fs.FS {
	if c.Files == nil {
		return nil
	}
	if _, err := fs.Stat(c.Files, name); err != nil {
		return nil
	}
	sub, err := fs.Sub(c.Files, name)
	if err != nil {
		return nil
	}
	return sub
}

// Archive is all files as one blob, a ZIP without compression; the same files
// give the same blob. [Judge] reads it.
func (c Candidate) Archive() ([]byte, error) { return pack(c.files) }
