package boltstore

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"os"
)

// checkPages walks the page tree of a bbolt file before bbolt itself does, and
// refuses one that bbolt could not read safely. A page that is its own
// descendant would have bbolt recurse until the process dies, which no recover
// can catch; pages have no checksums, so one flipped bit can make one.
//
// It also finds pages that are in use and on the list of free ones: the next
// commit would write over them.
//
// It reads the format of bbolt file version 2 on little-endian machines: two
// meta pages, then branch, leaf and freelist pages with 16-byte headers. What
// is in the pages, apart from what points where, is not looked at.
//
// A head that is damaged is given apart, as half: the file can be read.
func checkPages(path string) (half, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	w := &pageWalk{file: f, size: info.Size(), seen: map[uint64]bool{}}
	root, half, err := w.meta()
	if err != nil {
		return nil, err
	}
	if err := w.page(root, 0); err != nil {
		return nil, err
	}
	return half, w.freelist()
}

var (
	errPages = errors.New("the file's pages make no sense")
	// Meta pages are written in turn and one disk sector holds each, so both are
	// whole even after a power cut. Where one is not, bbolt silently takes the
	// other, with the state before: a record that was acknowledged would be gone,
	// and the log would go on as another one.
	errHalf = errors.New("one of the two meta pages is damaged: what was written last may be missing")
)

const (
	pageHeader  = 16
	elementSize = 16
	flagBranch  = 0x01
	flagLeaf    = 0x02
	flagFree    = 0x10
	flagBucket  = 0x01
	maxDepth    = 64 // a tree this deep would not fit on any disk
	magic       = 0xED0CDAED
	metaSize    = 64
)

type pageWalk struct {
	file     io.ReaderAt
	size     int64
	pageSize int64
	pages    uint64 // first page number that is not in use
	free     uint64 // page of the list of free pages
	seen     map[uint64]bool
}

// meta finds the newer of the two meta pages that is whole, as bbolt does. half
// is errHalf if the other one is not.
func (w *pageWalk) meta() (root uint64, half, err error) {
	var best uint64
	found := 0
	for _, size := range w.pageSizes() {
		for i := range int64(2) {
			b := make([]byte, metaSize)
			if _, err := w.file.ReadAt(b, i*size+pageHeader); err != nil {
				continue
			}
			h := fnv.New64a()
			h.Write(b[:56])
			le := binary.LittleEndian
			if le.Uint32(b) != magic || int64(le.Uint32(b[8:])) != size || le.Uint64(b[56:]) != h.Sum64() {
				continue
			}
			found++
			if txid := le.Uint64(b[48:]); found == 1 || txid > best {
				best = txid
				root, w.free, w.pages, w.pageSize = le.Uint64(b[16:]), le.Uint64(b[32:]), le.Uint64(b[40:]), size
			}
		}
		switch found {
		case 1:
			return root, errHalf, nil
		case 2:
			return root, nil, nil
		}
	}
	return 0, nil, fmt.Errorf("%w: neither of the two meta pages is whole", errPages)
}

// pageSizes are the sizes a page may have: bbolt takes that of the system that
// made the file.
func (w *pageWalk) pageSizes() []int64 {
	var out []int64
	for size := int64(1024); size <= 65536; size *= 2 {
		out = append(out, size)
	}
	return out
}

// page checks one page and those below it.
func (w *pageWalk) page(id uint64, depth int) error {
	if depth > maxDepth {
		return fmt.Errorf("%w: page %d is too deep", errPages, id)
	}
	b, err := w.read(id)
	if err != nil {
		return err
	}
	return w.elements(id, b, depth)
}

// read gives a page with those that overflow from it, and marks them as seen.
func (w *pageWalk) read(id uint64) ([]byte, error) {
	bad := func(what string) error { return fmt.Errorf("%w: page %d %s", errPages, id, what) }
	if id < 2 || id >= w.pages {
		return nil, bad("is out of bounds")
	}
	head := make([]byte, pageHeader)
	off := int64(id) * w.pageSize
	if _, err := w.file.ReadAt(head, off); err != nil {
		return nil, bad("is not in the file")
	}
	overflow := uint64(binary.LittleEndian.Uint32(head[12:]))
	if binary.LittleEndian.Uint64(head) != id || overflow >= w.pages-id {
		return nil, bad("says that it is another one")
	}
	length := int64(overflow+1) * w.pageSize
	if length > w.size-off {
		return nil, bad("is longer than the file")
	}
	for i := id; i <= id+overflow; i++ {
		if w.seen[i] {
			return nil, bad("is there twice")
		}
		w.seen[i] = true
	}
	b := make([]byte, length)
	_, err := w.file.ReadAt(b, off)
	return b, err
}

// freelist checks the list of free pages, after those in use are known.
func (w *pageWalk) freelist() error {
	b, err := w.read(w.free)
	if err != nil {
		return err
	}
	bad := func(what string) error { return fmt.Errorf("%w: the list of free pages %s", errPages, what) }
	le := binary.LittleEndian
	// A count that does not fit its two bytes comes first in the list.
	n, ids := uint64(le.Uint16(b[10:])), b[pageHeader:]
	if n == 0xFFFF {
		n, ids = le.Uint64(ids), ids[8:]
	}
	if le.Uint16(b[8:]) != flagFree || n > uint64(len(ids))/8 {
		return bad("is not one")
	}
	for i := range n {
		id := le.Uint64(ids[8*i:])
		if id < 2 || id >= w.pages || w.seen[id] {
			return bad(fmt.Sprintf("has page %d, which is not free", id))
		}
		w.seen[id] = true
	}
	return nil
}

// elements checks what a page points at: within it, and further pages.
func (w *pageWalk) elements(id uint64, b []byte, depth int) error {
	bad := func(what string) error { return fmt.Errorf("%w: page %d %s", errPages, id, what) }
	le := binary.LittleEndian
	flags, count := le.Uint16(b[8:]), int(le.Uint16(b[10:]))
	if flags != flagBranch && flags != flagLeaf {
		return bad("is of no kind that can be here")
	}
	if pageHeader+count*elementSize > len(b) || flags == flagBranch && count == 0 {
		return bad("has a wrong count")
	}
	for i := range count {
		at := pageHeader + i*elementSize
		e := b[at : at+elementSize]
		if flags == flagBranch {
			if end := uint64(at) + uint64(le.Uint32(e)) + uint64(le.Uint32(e[4:])); end > uint64(len(b)) {
				return bad("has a key outside of it")
			}
			if err := w.page(le.Uint64(e[8:]), depth+1); err != nil {
				return err
			}
			continue
		}
		value := uint64(at) + uint64(le.Uint32(e[4:])) + uint64(le.Uint32(e[8:]))
		end := value + uint64(le.Uint32(e[12:]))
		if end > uint64(len(b)) {
			return bad("has a value outside of it")
		}
		if le.Uint32(e)&flagBucket != 0 {
			if err := w.bucket(id, b[value:end], depth); err != nil {
				return err
			}
		}
	}
	return nil
}

// bucket follows a bucket: to a page of its own, or within this value.
func (w *pageWalk) bucket(id uint64, v []byte, depth int) error {
	if len(v) < 16 || depth > maxDepth {
		return fmt.Errorf("%w: page %d has a bucket that is cut short", errPages, id)
	}
	if root := binary.LittleEndian.Uint64(v); root != 0 {
		return w.page(root, depth+1)
	}
	if len(v) < 16+pageHeader {
		return fmt.Errorf("%w: page %d has a bucket that is cut short", errPages, id)
	}
	return w.elements(id, v[16:], depth+1)
}
