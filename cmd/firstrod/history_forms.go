package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode"

	"firstrod/engine/audit"
	"firstrod/engine/export"
	"firstrod/engine/ledger"
)

// jsonArray is a plain history: a record a line, in the bytes that are stored.
type jsonArray struct {
	w    io.Writer
	rows int
}

func (p *jsonArray) row(r ledger.Record) error {
	p.rows++
	return rawRow(p.w, r, p.rows == 1, "[")
}

func (p *jsonArray) end(ending) error {
	if p.rows == 0 {
		_, err := fmt.Fprintln(p.w, "[]")
		return err
	}
	_, err := fmt.Fprintln(p.w, "\n]")
	return err
}

func rawRow(w io.Writer, r ledger.Record, first bool, open string) error {
	raw, err := ledger.Encode(r)
	if err != nil {
		return err
	}
	sep := ","
	if first {
		sep = open
	}
	_, err = fmt.Fprintf(w, "%s\n%s", sep, bytes.TrimSpace(raw))
	return err
}

// jsonAnswer is the answer to a question: the checkpoint first, then records as
// they come, then how it ended.
type jsonAnswer struct {
	w    io.Writer
	c    ledger.Checkpoint
	note string
	rows int
}

func (p *jsonAnswer) begin() error {
	head, err := json.Marshal(map[string]any{
		"origin": p.c.Origin, "size": p.c.Size, "root": p.c.Root.String(), "note": p.note,
	})
	if err == nil {
		_, err = fmt.Fprintf(p.w, "{\n\"checkpoint\": %s,\n\"records\": ", head)
	}
	return err
}

func (p *jsonAnswer) row(r ledger.Record) error {
	if p.rows == 0 {
		if err := p.begin(); err != nil {
			return err
		}
	}
	p.rows++
	return rawRow(p.w, r, p.rows == 1, "[")
}

func (p *jsonAnswer) end(e ending) error {
	if p.rows == 0 {
		if err := p.begin(); err != nil {
			return err
		}
		fmt.Fprint(p.w, "[")
	}
	tail, err := json.Marshal(e)
	if err == nil {
		_, err = fmt.Fprintf(p.w, "\n],\n%s\n", tail[1:])
	}
	return err
}

// csvRows has a record a line. Every line carries the checkpoint, so that one
// that is cut out still says which ledger it is of.
type csvRows struct {
	w     *csv.Writer
	err   io.Writer // for what is no row
	words audit.Words
	zone  *time.Location
	c     ledger.Checkpoint
	rows  int
}

func newCSVRows(out, err io.Writer, words audit.Words, zone *time.Location, c ledger.Checkpoint) *csvRows {
	return &csvRows{w: csv.NewWriter(out), err: err, words: words, zone: zone, c: c}
}

func csvHead() []string {
	return []string{"record", "logged", "at", "bore", "who", "person", "role", "kind", "what", "typed", "why", "void", "state",
		"rules", "ledger_records", "ledger_root"}
}

func (p *csvRows) row(r ledger.Record) error {
	if p.rows++; p.rows == 1 {
		if err := p.w.Write(csvHead()); err != nil {
			return err
		}
	}
	by := ledger.Actor{}
	if r.By != nil {
		by = *r.By
	}
	cells := []string{
		strconv.FormatInt(r.Seq, 10), r.Logged.In(p.zone).Format(time.RFC3339Nano), r.At.In(p.zone).Format(time.RFC3339Nano), r.Bore,
		p.words.Who(&ledger.Actor{ID: by.ID}), by.ID, by.Role, string(r.Kind), p.words.Line(r, p.zone), r.Typed, r.Why, r.Void, r.State,
		r.Rules, strconv.FormatInt(p.c.Size, 10), p.c.Root.String(),
	}
	for i := range cells {
		cells[i] = export.Cell(cells[i])
	}
	return p.w.Write(cells)
}

func (p *csvRows) end(e ending) error {
	if p.rows == 0 {
		if err := p.w.Write(csvHead()); err != nil {
			return err
		}
	}
	p.w.Flush()
	if e.Next != "" {
		fmt.Fprintln(p.err, "next page: --after "+e.Next)
	}
	if e.FoundBy != foundByIndex {
		fmt.Fprintln(p.err, e.Note)
	}
	return p.w.Error()
}

// lines is for people.
type lines struct {
	w     io.Writer
	words audit.Words
	zone  *time.Location
	c     ledger.Checkpoint
	plain bool // a whole history, which says nothing after the last record
}

func (p *lines) row(r ledger.Record) error {
	who := ""
	if r.By != nil {
		who, _, _ = strings.Cut(p.words.Who(r.By), ",")
	}
	_, err := fmt.Fprintf(p.w, "%6d  %s  %-12s %-16s %-8s %s\n",
		r.Seq, r.At.In(p.zone).Format("2006-01-02 15:04:05"), r.Bore, visible(who), r.Kind, visible(p.words.Line(r, p.zone)))
	return err
}

func (p *lines) end(e ending) error {
	if p.plain && e.FoundBy == foundByIndex {
		return nil
	}
	count := fmt.Sprintf("%d records", e.Rows)
	if e.Rows == 1 {
		count = "1 record"
	}
	fmt.Fprintf(p.w, "%s of a ledger of %d, checkpoint %s; times in %s\n", count, p.c.Size, p.c.Short(), p.zone)
	if e.More {
		fmt.Fprintf(p.w, "There are more: --after %s\n", e.Next)
	}
	_, err := fmt.Fprintf(p.w, "%s%s.\n", strings.ToUpper(e.Note[:1]), e.Note[1:])
	return err
}

// visible keeps what somebody typed from moving the cursor of who reads it.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return '\uFFFD'
		}
		return r
	}, s)
}
