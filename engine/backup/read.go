package backup

import (
	"archive/tar"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"firstrod/engine/ledger"
)

// ErrBackup is in the chain of every reason not to believe a backup.
var ErrBackup = errors.New("not a whole backup")

// Contents is what a backup was found to have.
type Contents struct {
	Description
	Checkpoint []byte   // signed note
	Evidence   int      // files
	Changed    []string // files of evidence that were no longer what their name says when the backup was made
}

// Check reads a backup of size bytes from the first to the last, and writes nothing.
func Check(ctx context.Context, r io.Reader, size int64) (Contents, error) {
	return read(ctx, r, size, func(string, int64) (io.WriteCloser, error) { return nowhere{}, nil })
}

// Unpack writes what a backup of size bytes has into dir, which must be there and
// should be empty, each file synced. After an error dir must not be used.
func Unpack(ctx context.Context, r io.Reader, size int64, dir string) (Contents, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return Contents{}, err
	}
	defer root.Close()
	return read(ctx, r, size, func(name string, _ int64) (io.WriteCloser, error) {
		if strings.HasPrefix(name, Evidence) {
			if err := root.Mkdir(filepath.Dir(name), 0o700); err != nil && !errors.Is(err, os.ErrExist) {
				return nil, err
			}
		}
		f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
		if err != nil {
			return nil, err
		}
		return synced{f}, nil
	})
}

type nowhere struct{}

func (nowhere) Write(b []byte) (int, error) { return len(b), nil }
func (nowhere) Close() error                { return nil }

// synced is a file that is on the disk once it is closed.
type synced struct{ *os.File }

// Close syncs and closes.
func (s synced) Close() error { return errors.Join(s.Sync(), s.File.Close()) }

func bad(format string, args ...any) error {
	return fmt.Errorf("%w: "+format, append([]any{ErrBackup}, args...)...)
}

const block = 512 // of tar

type unpacker struct {
	ctx    context.Context
	tar    *tar.Reader
	left   int64 // bytes that the files together may still have
	create func(name string, size int64) (io.WriteCloser, error)
	sums   strings.Builder
	seen   map[string]bool
	at     int
	last   int64 // bytes of the sums
	out    Contents
}

// read goes through a backup. The form has no compression: files that say they are
// larger together than the backup itself are a trick, and end it.
func read(ctx context.Context, r io.Reader, size int64, create func(string, int64) (io.WriteCloser, error)) (Contents, error) {
	from := &io.LimitedReader{R: r, N: size}
	u := &unpacker{ctx: ctx, tar: tar.NewReader(from), left: size, create: create, seen: map[string]bool{}}
	for !u.seen[Sums] {
		if err := ctx.Err(); err != nil {
			return u.out, err
		}
		if err := u.next(); err != nil {
			return u.out, err
		}
	}
	// The rest of the last block, and the two empty blocks that end a tar file.
	if from.N != -u.last&(block-1)+2*block {
		return u.out, bad("it does not end after its sums")
	}
	if _, err := u.tar.Next(); !errors.Is(err, io.EOF) {
		return u.out, bad("something follows its sums")
	}
	for _, name := range []string{About, Checkpoint, Ledger} {
		if !u.seen[name] {
			return u.out, bad("%s is missing", name)
		}
	}
	return u.out, u.agree()
}

func (u *unpacker) next() error {
	h, err := u.tar.Next()
	if err != nil {
		return bad("it ends, or makes no sense, after %d files: %w", len(u.seen), err)
	}
	most, ok := limit(h.Name)
	switch {
	case !ok || h.Typeflag != tar.TypeReg || h.Linkname != "":
		return bad("%q does not belong in it", h.Name)
	case sparse(h):
		return bad("%s has holes", h.Name)
	case h.Size > most || h.Size > u.left:
		return bad("%s says that it has %d bytes", h.Name, h.Size)
	case u.seen[h.Name] || place(h.Name) < u.at:
		return bad("%s comes twice or out of order", h.Name)
	}
	u.left -= h.Size
	u.seen[h.Name], u.at = true, place(h.Name)
	if h.Name == Sums {
		return u.compare(h.Size)
	}
	return u.take(h)
}

// sparse says whether a header tells of holes, or of anything else that only an
// extended one can: a size is all that a backup needs one for.
func sparse(h *tar.Header) bool {
	for k := range h.PAXRecords {
		if k != "size" {
			return true
		}
	}
	return false
}

func (u *unpacker) take(h *tar.Header) error {
	w, err := u.create(h.Name, h.Size)
	if err != nil {
		return err
	}
	sum := sha256.New()
	var small bytes.Buffer
	to := []io.Writer{w, sum}
	if h.Name == About || h.Name == Checkpoint {
		to = append(to, &small)
	}
	n, err := io.Copy(io.MultiWriter(to...), u.tar)
	if err := errors.Join(err, w.Close()); err != nil {
		if errors.Is(err, io.ErrUnexpectedEOF) {
			return bad("it ends within %s", h.Name)
		}
		return fmt.Errorf("%s: %w", h.Name, err)
	}
	if n != h.Size {
		return bad("%s has %d bytes, and says %d", h.Name, n, h.Size)
	}
	fmt.Fprintf(&u.sums, "%x  %s\n", sum.Sum(nil), h.Name)
	return u.note(h.Name, small.Bytes(), fmt.Sprintf("%x", sum.Sum(nil)))
}

// note keeps what is wanted of a file later.
func (u *unpacker) note(name string, data []byte, sum string) error {
	switch {
	case name == About:
		if err := json.Unmarshal(data, &u.out.Description); err != nil || u.out.Form != Form {
			return bad("%s is not that of a backup", About)
		}
	case name == Checkpoint:
		u.out.Checkpoint = bytes.Clone(data)
	case strings.HasPrefix(name, Evidence):
		u.out.Evidence++
		if name != Evidence+sum {
			u.out.Changed = append(u.out.Changed, strings.TrimPrefix(name, Evidence))
		}
	}
	return nil
}

// compare holds the sums against what came before them.
func (u *unpacker) compare(size int64) error {
	u.last = size
	listed, err := io.ReadAll(u.tar)
	if err != nil || int64(len(listed)) != size {
		return bad("it ends within its sums")
	}
	if string(listed) != u.sums.String() {
		return bad("its files are not those that it was made with")
	}
	return nil
}

// agree holds the description against the checkpoint.
func (u *unpacker) agree() error {
	c, err := ledger.NoteCheckpoint(u.out.Checkpoint)
	d := u.out.Description
	if err != nil || c.Origin != d.Origin || c.Size != d.Size || c.Root.String() != d.Root || d.Key != u.seen[Key] {
		return bad("%s does not say what is in it", About)
	}
	return nil
}
