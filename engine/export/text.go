package export

import (
	"bufio"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"

	"firstrod/engine/ledger"
)

// DictionaryFile is what the dictionary is called beside CSV and Parquet files.
const DictionaryFile = "DATA_DICTIONARY.csv"

// CSV writes a file for each table into a folder, which it makes; it must not be
// there yet. Every cell is safe to open in a spreadsheet, see [Cell].
func CSV(r ledger.Reader, dir string, progress Progress) error {
	s, err := newCSVFiles(dir, Tables())
	if err != nil {
		return err
	}
	return errors.Join(walk(r, s, progress), s.close())
}

// csvFiles is a sink of CSV files.
type csvFiles struct {
	files map[string]*os.File
	w     map[string]*csv.Writer
}

func newCSVFiles(dir string, tables []Table) (*csvFiles, error) {
	if err := os.Mkdir(dir, 0o700); err != nil {
		return nil, err
	}
	s := &csvFiles{files: map[string]*os.File{}, w: map[string]*csv.Writer{}}
	for _, t := range tables {
		f, err := create(filepath.Join(dir, fileName(t.Name, ".csv")))
		if err != nil {
			return nil, errors.Join(err, s.close())
		}
		s.files[t.Name], s.w[t.Name] = f, csv.NewWriter(f)
		if err := s.w[t.Name].Write(t.names()); err != nil {
			return nil, errors.Join(err, s.close())
		}
	}
	return s, nil
}

func fileName(table, end string) string {
	if table == "dictionary" {
		return DictionaryFile
	}
	return table + end
}

// create makes a file that must not be there yet, for its owner only.
func create(path string) (*os.File, error) {
	return os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
}

func (s *csvFiles) put(table string, row any) error {
	w := s.w[table]
	if w == nil {
		return noTable(table)
	}
	var out []string
	for _, c := range cells(row) {
		switch x := c.(type) {
		case int64:
			out = append(out, strconv.FormatInt(x, 10))
		case string:
			out = append(out, Cell(x))
		}
	}
	return w.Write(out)
}

func (s *csvFiles) close() (err error) {
	for name, f := range s.files {
		if w := s.w[name]; w != nil {
			w.Flush()
			err = errors.Join(err, w.Error())
		}
		err = errors.Join(err, f.Sync(), f.Close())
	}
	return err
}

// JSONL writes a ledger as JSON lines: an object for each row, with the name of
// its table under "table" and its columns after it.
func JSONL(r ledger.Reader, w io.Writer, progress Progress) error {
	s := &jsonLines{w: bufio.NewWriterSize(w, 1<<16), names: map[string][]string{}}
	for _, t := range Tables() {
		s.names[t.Name] = t.names()
	}
	return errors.Join(walk(r, s, progress), s.w.Flush())
}

type jsonLines struct {
	w     *bufio.Writer
	names map[string][]string
}

func (s *jsonLines) put(table string, row any) error {
	fmt.Fprintf(s.w, `{"table":%q`, table)
	for i, c := range cells(row) {
		raw, err := json.Marshal(c)
		if err != nil {
			return err
		}
		fmt.Fprintf(s.w, `,%q:%s`, s.names[table][i], raw)
	}
	_, err := s.w.WriteString("}\n")
	return err
}
