package export

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"slices"

	"firstrod/engine/ledger"
)

// File is a SQLite export opened to be verified: a [ledger.Reader] over the exact
// bytes that it carries. It never writes.
type File struct {
	db *sql.DB
}

// longestExact is a byte more than a record can have, so that a longer one is
// refused and not read.
const longestExact = ledger.MaxRecord + 1

// OpenSQLite opens a file that [SQLite] has written.
func OpenSQLite(path string) (*File, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite", sqliteName(path, "mode=ro&immutable=1&_pragma=query_only(1)&_pragma=trusted_schema(0)"))
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	f := &File{db: db}
	if _, err := f.Checkpoint(); err != nil {
		return nil, errors.Join(fmt.Errorf("%s is no export of a ledger", path), err, db.Close())
	}
	return f, nil
}

// Close lets go of the file.
func (f *File) Close() error { return f.db.Close() }

// Records is of ledger.Reader.
func (f *File) Records(from int64, limit int) (out []ledger.Row, err error) {
	rows, err := f.db.Query("SELECT record, substr(CAST(exact AS BLOB), 1, ?) FROM records WHERE record >= ? ORDER BY record LIMIT ?", longestExact, from, limit)
	if err != nil {
		return nil, err
	}
	defer func() { _ = rows.Close() }() // rows.Err has what went wrong
	for rows.Next() {
		var r ledger.Row
		if err := rows.Scan(&r.Seq, &r.Data); err != nil {
			return out, err
		}
		out = append(out, r)
	}
	return out, rows.Err()
}

// Checkpoint is of ledger.Reader.
func (f *File) Checkpoint() (note []byte, err error) {
	err = f.db.QueryRow("SELECT note FROM ledger").Scan(&note)
	return note, err
}

// Compare compares every column of every table with what the exact bytes of the
// records say, and reports what differs, at most 100 times. Verify the file first:
// this trusts the exact bytes. The index free_text is not compared.
func (f *File) Compare(report func(ledger.Fault)) (faults int) {
	c := comparison{f: f, report: report, counts: map[string]int64{}}
	if err := c.run(); err != nil {
		c.fault(-1, ledger.FaultUnreadable, "the tables cannot be compared: %v", err)
	}
	return c.faults
}

const mostFaults = 100

type comparison struct {
	f      *File
	report func(ledger.Fault)
	faults int
	counts map[string]int64
}

func (c *comparison) fault(seq int64, code, format string, args ...any) {
	if c.faults++; c.faults <= mostFaults {
		c.report(ledger.Fault{Seq: seq, Code: code, Say: fmt.Sprintf(format, args...)})
	}
}

func (c *comparison) run() error {
	if err := errors.Join(c.integrity(), c.heads()); err != nil {
		return err
	}
	var size int64
	if err := c.f.db.QueryRow("SELECT count(*) FROM records").Scan(&size); err != nil {
		return err
	}
	p := puller{r: c.f, trails: map[string]ledger.Trail{}}
	for p.next < size {
		from := p.next
		want, err := p.page(size)
		if err != nil {
			return err
		}
		for _, t := range recordTables() {
			if err := c.page(t, from, p.next, want); err != nil {
				return err
			}
		}
	}
	for _, t := range Tables() {
		var n int64
		if err := c.f.db.QueryRow("SELECT count(*) FROM " + t.Name).Scan(&n); err != nil {
			return err
		}
		if n != c.counts[t.Name] {
			c.fault(-1, ledger.FaultCopy, "the table %s has %d rows, the records make %d", t.Name, n, c.counts[t.Name])
		}
	}
	return nil
}

// integrity has SQLite compare its own indexes with its tables: whoever asks
// through an index gets what the tables say.
func (c *comparison) integrity() error {
	said := ""
	if err := c.f.db.QueryRow("PRAGMA integrity_check(1)").Scan(&said); err != nil {
		return err
	}
	if said != "ok" {
		c.fault(-1, ledger.FaultCopy, "the file does not hold together: %s", said)
	}
	return nil
}

// recordTables are the tables whose rows belong to records.
func recordTables() []Table {
	return slices.DeleteFunc(Tables(), func(t Table) bool { return t.Columns[0].Name != "record" })
}

// heads compares the tables that belong to no record.
func (c *comparison) heads() error {
	note, err := c.f.Checkpoint()
	if err != nil {
		return err
	}
	at, err := ledger.NoteCheckpoint(note)
	if err != nil {
		return err
	}
	want := []made{{"ledger", LedgerRow{at.Origin, at.Size, at.Root.String(), string(note)}}}
	for _, d := range Dictionary() {
		want = append(want, made{"dictionary", d})
	}
	for _, t := range Tables() {
		if t.Columns[0].Name == "record" {
			continue
		}
		got, err := c.rows("SELECT * FROM " + t.Name + " ORDER BY rowid")
		if err != nil {
			return err
		}
		c.same(t, got, want)
	}
	return nil
}

func (c *comparison) page(t Table, from, to int64, want []made) error {
	got, err := c.rows("SELECT * FROM "+t.Name+" WHERE record >= ? AND record < ? ORDER BY record, rowid", from, to)
	if err != nil {
		return err
	}
	c.same(t, got, want)
	return nil
}

// same compares the rows of one table.
func (c *comparison) same(t Table, got [][]any, want []made) {
	i := 0
	for _, w := range want {
		if w.table != t.Name {
			continue
		}
		c.counts[t.Name]++
		values := cells(w.row)
		seq, ok := values[0].(int64)
		if !ok {
			seq = -1
		}
		switch {
		case i >= len(got):
			c.fault(seq, ledger.FaultCopy, "a row is missing in the table %s", t.Name)
		case !slices.Equal(got[i], values):
			c.fault(seq, ledger.FaultCopy, "a row of the table %s is not what the record says", t.Name)
		}
		i++
	}
	if i < len(got) {
		c.fault(-1, ledger.FaultCopy, "the table %s has %d rows that no record makes", t.Name, len(got)-i)
	}
}

func (c *comparison) rows(query string, args ...any) (out [][]any, err error) {
	rows, err := c.f.db.Query(query, args...)
	if err != nil {
		return nil, err
	}
	defer func() { _ = rows.Close() }() // rows.Err has what went wrong
	names, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	for rows.Next() {
		row, to := make([]any, len(names)), make([]any, len(names))
		for i := range to {
			to[i] = &row[i]
		}
		if err := rows.Scan(to...); err != nil {
			return nil, err
		}
		out = append(out, row)
	}
	return out, rows.Err()
}
