package proof

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
)

// The archive is written and read here and not by archive/zip: that one takes many
// spellings of one archive, and its own may change with the Go version. Tests hold
// that archive/zip reads what is written here.

const (
	maxFile  = 1 << 30   // bytes of a proof file
	maxPart  = 20 << 20  // bytes of one part: a file of evidence
	maxHeld  = 256 << 20 // bytes of all parts that are not evidence
	maxParts = 60_000    // the count has two bytes

	localSize   = 30
	centralSize = 46
	endSize     = 22
	firstOfDay  = 0x21 // 1980-01-01, the zero of ZIP times
)

var (
	errNoProof = errors.New("this is no proof file")
	le         = binary.LittleEndian
)

// entry is one part as the archive's directory has it.
type entry struct {
	name   string
	size   uint32
	sum    uint32 // CRC-32
	offset uint32
}

// zipWriter writes an archive part by part, in the order of their names.
type zipWriter struct {
	w       io.Writer
	at      int64
	entries []entry
	err     error
}

func (z *zipWriter) add(name string, data []byte) {
	if z.err != nil {
		return
	}
	switch {
	case len(z.entries) > 0 && name <= z.entries[len(z.entries)-1].name:
		z.err = fmt.Errorf("%s is not in order", name)
	case len(data) > maxPart:
		z.err = fmt.Errorf("%s is too large: %d bytes, at most %d", name, len(data), maxPart)
	case len(z.entries) >= maxParts || z.at > maxFile-maxPart:
		z.err = errors.New("the file would be too large")
	}
	if z.err != nil {
		return
	}
	e := entry{name, uint32(len(data)), crc32.ChecksumIEEE(data), uint32(z.at)}
	z.entries = append(z.entries, e)
	z.write(e.local())
	z.write(data)
}

func (z *zipWriter) write(b []byte) {
	if z.err == nil {
		var n int
		n, z.err = z.w.Write(b)
		z.at += int64(n)
	}
}

func (z *zipWriter) close() error {
	z.write(directory(z.entries, z.at))
	return z.err
}

// local is the header in front of a part.
func (e entry) local() []byte {
	b := make([]byte, localSize, localSize+len(e.name))
	le.PutUint32(b, 0x04034b50)
	e.common(b[4:])
	return append(b, e.name...)
}

// common is what both headers of a part have: version, no flags, not compressed,
// no time, CRC-32, size twice, length of the name.
func (e entry) common(b []byte) {
	le.PutUint16(b, 20)
	le.PutUint16(b[8:], firstOfDay)
	le.PutUint32(b[10:], e.sum)
	le.PutUint32(b[14:], e.size)
	le.PutUint32(b[18:], e.size)
	le.PutUint16(b[22:], uint16(len(e.name)))
}

// directory is the end of an archive whose parts end at offset at.
func directory(entries []entry, at int64) []byte {
	var out []byte
	for _, e := range entries {
		b := make([]byte, centralSize, centralSize+len(e.name))
		le.PutUint32(b, 0x02014b50)
		le.PutUint16(b[4:], 20)
		e.common(b[6:])
		le.PutUint32(b[42:], e.offset)
		out = append(out, append(b, e.name...)...)
	}
	end := make([]byte, endSize)
	le.PutUint32(end, 0x06054b50)
	le.PutUint16(end[8:], uint16(len(entries)))
	le.PutUint16(end[10:], uint16(len(entries)))
	le.PutUint32(end[12:], uint32(len(out)))
	le.PutUint32(end[16:], uint32(at))
	return append(out, end...)
}

// readZip calls take with each part in turn. It takes what zipWriter writes and
// nothing else. A part whose CRC-32 does not fit is given all the same, with whole
// false: what was changed in it is for the caller to name. data is valid until take
// returns.
func readZip(r io.ReaderAt, size int64, take func(name string, data []byte, whole bool) error) error {
	if size > maxFile {
		return fmt.Errorf("%w: %d bytes, at most %d", errNoProof, size, int64(maxFile))
	}
	z := &zipReader{r: r, size: size}
	for {
		e, more, err := z.header()
		if err != nil {
			return err
		}
		if !more {
			break
		}
		data, err := z.data(e)
		if err != nil {
			return err
		}
		if err := take(e.name, data, crc32.ChecksumIEEE(data) == e.sum); err != nil {
			return err
		}
	}
	if len(z.entries) == 0 {
		return fmt.Errorf("%w: it has no parts", errNoProof)
	}
	want := directory(z.entries, z.at)
	if size-z.at != int64(len(want)) {
		return fmt.Errorf("%w: its directory is cut short or too long", errNoProof)
	}
	got := make([]byte, len(want))
	if _, err := z.r.ReadAt(got, z.at); err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	if !bytes.Equal(got, want) {
		return fmt.Errorf("%w: its directory does not say what its parts are", errNoProof)
	}
	return nil
}

type zipReader struct {
	r       io.ReaderAt
	size    int64
	at      int64
	entries []entry
	buf     []byte
}

func (z *zipReader) read(n int64) ([]byte, error) {
	if n > z.size-z.at {
		return nil, fmt.Errorf("%w: it is cut short after %d parts", errNoProof, len(z.entries))
	}
	if int64(cap(z.buf)) < n {
		z.buf = make([]byte, n)
	}
	b := z.buf[:n]
	if _, err := z.r.ReadAt(b, z.at); err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	z.at += n
	return b, nil
}

// header reads the header of the next part; more is false at the directory.
func (z *zipReader) header() (e entry, more bool, err error) {
	at := z.at
	head, err := z.read(4)
	if err != nil {
		return entry{}, false, err
	}
	switch le.Uint32(head) {
	case 0x02014b50, 0x06054b50:
		z.at = at
		return entry{}, false, nil
	case 0x04034b50:
	default:
		return entry{}, false, fmt.Errorf("%w: part %d does not begin like one", errNoProof, len(z.entries)+1)
	}
	rest, err := z.read(localSize - 4)
	if err != nil {
		return entry{}, false, err
	}
	method := le.Uint16(rest[4:])
	e = entry{size: le.Uint32(rest[18:]), sum: le.Uint32(rest[10:]), offset: uint32(at)}
	var fixed [localSize - 4]byte
	copy(fixed[:], rest)
	name, err := z.read(int64(le.Uint16(rest[22:])))
	if err != nil {
		return entry{}, false, err
	}
	e.name = string(name)
	if method != 0 {
		return entry{}, false, fmt.Errorf("%w: %.80q is compressed, and might unpack to any size", errNoProof, e.name)
	}
	if want := e.local(); !bytes.Equal(want[4:localSize], fixed[:]) {
		return entry{}, false, fmt.Errorf("%w: the header of %.80q is not in its one form", errNoProof, e.name)
	}
	return e, true, z.fits(e)
}

// fits checks a part against those before it, before its bytes are read.
func (z *zipReader) fits(e entry) error {
	switch {
	case partName(e.name) == noPart:
		return fmt.Errorf("%w: it has a part %.80q, which does not belong in one", errNoProof, e.name)
	case len(z.entries) > 0 && e.name == z.entries[len(z.entries)-1].name:
		return fmt.Errorf("%w: it has %s twice", errNoProof, e.name)
	case len(z.entries) > 0 && e.name < z.entries[len(z.entries)-1].name:
		return fmt.Errorf("%w: %s is out of order", errNoProof, e.name)
	case e.size > maxPart:
		return fmt.Errorf("%w: %s says that it has %d bytes, at most %d", errNoProof, e.name, e.size, maxPart)
	case len(z.entries) >= maxParts:
		return fmt.Errorf("%w: it has more than %d parts", errNoProof, maxParts)
	}
	z.entries = append(z.entries, e)
	return nil
}

func (z *zipReader) data(e entry) ([]byte, error) { return z.read(int64(e.size)) }
