package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"firstrod/engine"
	"firstrod/engine/depth"
)

// What a table may be at most. A crew has tens of rows; these only keep a wrong
// file from filling the memory.
const (
	mostTableBytes = 16 << 20
	mostTableRows  = 100_000
)

// table is a CSV file: its columns by name, and each row with its line.
type table struct {
	name    string
	columns map[string]int
	rows    [][]string
	lines   []int
}

// readTable reads a CSV file, or standard input for "-", that must have the
// columns named. Others may be there and are not looked at.
func (a *app) readTable(path string, columns ...string) (*table, error) {
	source, name, err := a.tableSource(path)
	if err != nil {
		return nil, err
	}
	defer source.Close()
	raw, err := io.ReadAll(io.LimitReader(source, mostTableBytes+1))
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: name + " cannot be read", Err: err}
	}
	if len(raw) > mostTableBytes {
		return nil, wrong("%s is longer than %d MiB", name, mostTableBytes>>20)
	}
	return parseTable(name, raw, columns)
}

func (a *app) tableSource(path string) (io.ReadCloser, string, error) {
	if path == "-" {
		return io.NopCloser(a.in), "standard input", nil
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, "", &engine.Error{Kind: engine.Usage, Say: "the table cannot be read: " + path, Err: err}
	}
	return f, filepath.Base(path), nil
}

func parseTable(name string, raw []byte, columns []string) (*table, error) {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(raw, []byte("\ufeff"))))
	r.Comment, r.TrimLeadingSpace = '#', true
	head, err := r.Read()
	if errors.Is(err, io.EOF) {
		return nil, wrong("%s is empty: it needs a first line with the columns %s", name, strings.Join(columns, ", "))
	}
	if err != nil {
		return nil, badLine(name, err)
	}
	t := &table{name: name, columns: map[string]int{}}
	line, _ := r.FieldPos(0)
	if err := t.head(line, head, columns); err != nil {
		return nil, err
	}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return t, nil
		}
		if err != nil {
			return nil, badLine(name, err)
		}
		line, _ := r.FieldPos(0)
		if len(t.rows) == mostTableRows {
			return nil, wrong("%s line %d: more than %d rows", name, line, mostTableRows)
		}
		t.rows, t.lines = append(t.rows, row), append(t.lines, line)
	}
}

func (t *table) head(line int, head, columns []string) error {
	for i, cell := range head {
		cell = strings.ToLower(strings.TrimSpace(cell))
		if _, twice := t.columns[cell]; twice && cell != "" {
			return wrong("%s line %d: the column %s comes twice", t.name, line, quoted(cell))
		}
		t.columns[cell] = i
	}
	for _, want := range columns {
		if _, ok := t.columns[want]; !ok {
			return wrong("%s line %d: there is no column %s; the columns needed are %s",
				t.name, line, want, strings.Join(columns, ", "))
		}
	}
	return nil
}

func badLine(name string, err error) error {
	if bad, ok := errors.AsType[*csv.ParseError](err); ok {
		why := bad.Err.Error()
		if errors.Is(bad.Err, csv.ErrFieldCount) {
			why = "it has another number of columns than the first line"
		}
		return wrong("%s line %d: %s", name, bad.StartLine, why)
	}
	return wrong("%s: %s", name, err)
}

func (t *table) has(column string) bool {
	_, ok := t.columns[column]
	return ok
}

func (t *table) text(row int, column string) string {
	return strings.TrimSpace(t.rows[row][t.columns[column]])
}

// number is one cell, which must be a number.
func (t *table) number(row int, column string) (float64, error) {
	text := t.text(row, column)
	if text == "" {
		return 0, wrong("%s line %d: %s is empty", t.name, t.lines[row], column)
	}
	v, ok := number(text)
	if !ok {
		return 0, wrong("%s line %d: %s is %s, which is not a number", t.name, t.lines[row], column, quoted(text))
	}
	return v, nil
}

// refused turns the engine's refusal of one of many into a sentence that names
// the line. columns are the table's names for the engine's fields.
func (t *table) refused(err error, columns map[string]string) error {
	field, ok := errors.AsType[*depth.FieldError](err)
	if !ok {
		return err
	}
	// Such as marks[12].True; made here, since it is met only on this way out.
	parts := regexp.MustCompile(`^\w+\[(\d+)\]\.(\w+)$`).FindStringSubmatch(field.Field)
	if parts == nil {
		if name, ok := columns[field.Field]; ok {
			return wrong("%s: %s", name, field.Why)
		}
		return wrong("%s, all rows: %s", t.name, field.Why)
	}
	row, err := strconv.Atoi(parts[1])
	if err != nil || row >= len(t.lines) {
		return wrong("%s: %s", t.name, field.Error())
	}
	column := parts[2]
	if name, ok := columns[column]; ok {
		column = name
	}
	return wrong("%s line %d: %s: %s", t.name, t.lines[row], column, field.Why)
}
