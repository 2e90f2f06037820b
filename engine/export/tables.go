package export

import (
	"fmt"
	"reflect"
	"strings"
	"time"
)

// Table is one table of an export.
type Table struct {
	Name    string
	Columns []Column
	row     reflect.Type
}

// Column is one column of a table.
type Column struct {
	Name, Type, Meaning, Unit string
}

// The types of columns.
const (
	typeNumber = "whole number"
	typeText   = "text"
	typeTime   = "time"
)

// Tables lists every table of an export, with its columns in order.
func Tables() []Table {
	return []Table{
		tableOf[LedgerRow]("ledger"), tableOf[RecordRow]("records"), tableOf[FactRow]("facts"), tableOf[FindingRow]("findings"),
		tableOf[ReleaseRow]("releases"), tableOf[SignerRow]("signers"), tableOf[FileRow]("files"), tableOf[DictionaryRow]("dictionary"),
	}
}

func tableOf[T any](name string) Table {
	t := Table{Name: name, row: reflect.TypeFor[T]()}
	for i := range t.row.NumField() {
		f := t.row.Field(i)
		column, _, _ := strings.Cut(f.Tag.Get("parquet"), ",")
		c := Column{Name: column, Meaning: f.Tag.Get("means"), Unit: f.Tag.Get("unit"), Type: typeText}
		switch f.Type {
		case reflect.TypeFor[int64]():
			c.Type = typeNumber
		case reflect.TypeFor[time.Time]():
			c.Type = typeTime
		}
		t.Columns = append(t.Columns, c)
	}
	return t
}

// Dictionary says what every column of every table means.
func Dictionary() []DictionaryRow {
	var out []DictionaryRow
	for _, t := range Tables() {
		for _, c := range t.Columns {
			out = append(out, DictionaryRow{t.Name, c.Name, c.Type, c.Meaning, c.Unit})
		}
	}
	return out
}

// cells are the values of a row, in the order of its table's columns: int64,
// string, or a time as text in UTC, which sorts as it should.
func cells(row any) []any {
	v := reflect.ValueOf(row)
	out := make([]any, v.NumField())
	for i := range out {
		switch x := v.Field(i).Interface().(type) {
		case time.Time:
			out[i] = x.UTC().Format("2006-01-02T15:04:05.000000000Z")
		default:
			out[i] = x
		}
	}
	return out
}

// sink takes the rows of an export.
type sink interface {
	put(table string, row any) error
}

func (t Table) names() []string {
	var out []string
	for _, c := range t.Columns {
		out = append(out, c.Name)
	}
	return out
}

func noTable(name string) error { return fmt.Errorf("there is no table %q", name) }
