package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"io"
)

// Text is a whole ledger as plain text, for people and for other programs: the
// exact bytes of each record on a line of its own, an empty line, and the
// checkpoint. It is a [Reader]; the tree is computed from the lines.
type Text struct {
	lines [][]byte
	note  []byte
}

// ErrText is returned for text that is no ledger at all.
var ErrText = errors.New("not a ledger in text form")

// ReadText reads a ledger in text form. It looks at no record: that is for
// Verify to do.
func ReadText(r io.Reader) (*Text, error) {
	b, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	// JSON has no bare newlines, so the first empty line is the end of the records.
	body, note, ok := bytes.Cut(b, []byte("\n\n"))
	if !ok {
		return nil, fmt.Errorf("%w: no empty line before the checkpoint", ErrText)
	}
	return &Text{lines: bytes.Split(body, []byte("\n")), note: note}, nil
}

// WriteText writes what r has in text form.
func WriteText(w io.Writer, r Reader) error {
	p := &pager{fetch: r.Records}
	for {
		row, ok := p.peek()
		if !ok {
			break
		}
		p.take()
		if bytes.IndexByte(row.Data, '\n') >= 0 {
			return fmt.Errorf("record %d: %w", row.Seq, ErrRecord)
		}
		if _, err := w.Write(append(bytes.Clone(row.Data), '\n')); err != nil {
			return err
		}
	}
	if p.err != nil {
		return p.err
	}
	note, err := r.Checkpoint()
	if err != nil {
		return err
	}
	_, err = w.Write(append([]byte("\n"), note...))
	return err
}

// Records is of Reader.
func (t *Text) Records(from int64, limit int) ([]Row, error) {
	var rows []Row
	for i := max(from, 0); i < int64(len(t.lines)) && len(rows) < limit; i++ {
		rows = append(rows, Row{Seq: i, Data: t.lines[i]})
	}
	return rows, nil
}

// Checkpoint is of Reader.
func (t *Text) Checkpoint() ([]byte, error) { return t.note, nil }
