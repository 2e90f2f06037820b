package backup

import (
	"archive/tar"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"firstrod/engine/ledger"
)

// Form is what about.json says that the file is.
const Form = "firstrod backup 1"

// Description is about.json.
type Description struct {
	Form   string `json:"form"`
	Origin string `json:"origin"` // of the log
	Size   int64  `json:"size"`   // records
	Root   string `json:"root"`   // over them, base64
	Key    bool   `json:"key"`    // whether the log's secret key is in it
}

// File is a file on its way into a backup. It must not change any more.
type File struct {
	Name string // in the backup
	Path string // on the disk
}

// Write writes a backup of a ledger whose latest checkpoint is note. The files come
// in the order of their names in the backup, see the package comment.
func Write(ctx context.Context, w io.Writer, note []byte, files []File) error {
	c, err := ledger.NoteCheckpoint(note)
	if err != nil {
		return err
	}
	d := Description{Form: Form, Origin: c.Origin, Size: c.Size, Root: c.Root.String()}
	for _, f := range files {
		d.Key = d.Key || f.Name == Key
	}
	about, err := json.Marshal(d)
	if err != nil {
		return err
	}
	p := &packer{tar: tar.NewWriter(w)}
	if err := p.small(About, append(about, '\n')); err != nil {
		return err
	}
	if err := p.small(Checkpoint, note); err != nil {
		return err
	}
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := p.file(f); err != nil {
			return err
		}
	}
	if err := p.small(Sums, []byte(p.sums.String())); err != nil {
		return err
	}
	return p.tar.Close()
}

type packer struct {
	tar  *tar.Writer
	sums strings.Builder
	at   int
}

func (p *packer) small(name string, data []byte) error {
	return p.add(name, int64(len(data)), strings.NewReader(string(data)))
}

func (p *packer) file(f File) error {
	r, err := os.Open(f.Path)
	if err != nil {
		return err
	}
	defer r.Close()
	info, err := r.Stat()
	if err != nil {
		return err
	}
	return p.add(f.Name, info.Size(), r)
}

func (p *packer) add(name string, size int64, r io.Reader) error {
	most, ok := limit(name)
	if !ok || size > most || place(name) < p.at {
		return fmt.Errorf("%s, %d bytes, does not belong there in a backup", name, size)
	}
	p.at = place(name)
	h := &tar.Header{Name: name, Mode: 0o600, Size: size, Typeflag: tar.TypeReg}
	if err := p.tar.WriteHeader(h); err != nil {
		return err
	}
	sum := sha256.New()
	if n, err := io.Copy(io.MultiWriter(p.tar, sum), io.LimitReader(r, size)); err != nil || n != size {
		return fmt.Errorf("%s: %d of %d bytes: %w", name, n, size, orShort(err))
	}
	fmt.Fprintf(&p.sums, "%x  %s\n", sum.Sum(nil), name)
	return nil
}

func orShort(err error) error {
	if err == nil {
		return io.ErrUnexpectedEOF
	}
	return err
}
