package export

import (
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	_ "modernc.org/sqlite" // the driver "sqlite"

	"firstrod/engine/ledger"
)

// SQLite writes a ledger into a new SQLite file with the tables of [Tables],
// indexes on what is asked for most, and free_text, an FTS5 index over what people
// typed: SELECT * FROM records WHERE record IN (SELECT rowid FROM free_text WHERE
// free_text MATCH 'gas main'). The file gets its name when it is whole; it must
// not be there yet.
func SQLite(r ledger.Reader, path string, progress Progress) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already", path)
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".firstrod-export-")
	if err != nil {
		return err
	}
	// What is left of it is in the way of nothing.
	defer func() { _ = os.RemoveAll(dir) }()
	fresh := filepath.Join(dir, "export.sqlite")
	if err := writeSQLite(r, fresh, progress); err != nil {
		return err
	}
	// Unlike a rename, a link never replaces what came meanwhile.
	return os.Link(fresh, path)
}

func writeSQLite(r ledger.Reader, path string, progress Progress) error {
	db, err := sql.Open("sqlite", sqliteName(path, "_pragma=journal_mode(off)&_pragma=synchronous(off)"))
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(1)
	tx, err := db.Begin()
	if err != nil {
		return errors.Join(err, db.Close())
	}
	s := &sqliteFile{tx: tx, insert: map[string]*sql.Stmt{}}
	err = s.tables()
	if err == nil {
		err = walk(r, s, progress)
	}
	if err == nil {
		err = s.indexes()
	}
	if err != nil {
		return errors.Join(err, tx.Rollback(), db.Close())
	}
	if err := errors.Join(tx.Commit(), db.Close()); err != nil {
		return err
	}
	return syncFile(path)
}

// sqliteName is a path as SQLite takes it, whatever characters are in it.
func sqliteName(path, options string) string {
	abs, err := filepath.Abs(path)
	if err != nil {
		abs = path
	}
	return (&url.URL{Scheme: "file", Path: abs, RawQuery: options}).String()
}

func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Chmod(0o600), f.Sync(), f.Close())
}

type sqliteFile struct {
	tx     *sql.Tx
	insert map[string]*sql.Stmt
}

// placed says whether a table's rows are numbered within their record.
func placed(table string) bool { return table == "facts" || table == "signers" || table == "files" }

func (s *sqliteFile) tables() error {
	for _, t := range Tables() {
		var defs, marks []string
		for _, c := range t.Columns {
			kind := "TEXT"
			if c.Type == typeNumber {
				kind = "INTEGER"
			}
			if t.Name == "records" && c.Name == "record" {
				kind = "INTEGER PRIMARY KEY"
			}
			defs, marks = append(defs, c.Name+" "+kind+" NOT NULL"), append(marks, "?")
		}
		if placed(t.Name) {
			defs = append(defs, "PRIMARY KEY (record, place)")
		}
		if _, err := s.tx.Exec("CREATE TABLE " + t.Name + " (" + strings.Join(defs, ", ") + ")"); err != nil {
			return err
		}
		stmt, err := s.tx.Prepare("INSERT INTO " + t.Name + " VALUES (" + strings.Join(marks, ", ") + ")")
		if err != nil {
			return err
		}
		s.insert[t.Name] = stmt
	}
	// Without content of its own: the words are in the tables already.
	if _, err := s.tx.Exec("CREATE VIRTUAL TABLE free_text USING fts5(words, content='')"); err != nil {
		return err
	}
	stmt, err := s.tx.Prepare("INSERT INTO free_text (rowid, words) VALUES (?, ?)")
	s.insert["free_text"] = stmt
	return err
}

func (s *sqliteFile) put(table string, row any) error {
	stmt := s.insert[table]
	if stmt == nil {
		return noTable(table)
	}
	if _, err := stmt.Exec(cells(row)...); err != nil {
		return err
	}
	r, ok := row.(RecordRow)
	if words := r.Typed + "\n" + r.Why; ok && len(words) > 1 {
		_, err := s.insert["free_text"].Exec(r.Record, words)
		return err
	}
	return nil
}

func (s *sqliteFile) indexes() error {
	for _, on := range []string{
		"records (bore, version)", "records (person)", "records (kind)", "records (logged)", "records (void)", "records (jurisdiction)",
		"facts (ask, value)", "facts (bore)", "findings (check_id, status)", "findings (record)", "findings (bore)", "releases (bore)", "signers (person)",
	} {
		name := strings.NewReplacer(" ", "_", "(", "", ")", "", ",", "").Replace("by_" + on)
		if _, err := s.tx.Exec("CREATE INDEX " + name + " ON " + on); err != nil {
			return err
		}
	}
	return nil
}
