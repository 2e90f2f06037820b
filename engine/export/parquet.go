package export

import (
	"errors"
	"os"
	"path/filepath"
	"slices"

	"github.com/parquet-go/parquet-go"

	"firstrod/engine/ledger"
)

// rowGroup is how many rows are held in memory before they are written.
const rowGroup = 20_000

// Parquet writes a file for each table into a folder, which it makes; it must
// not be there yet. The dictionary is beside them as CSV.
func Parquet(r ledger.Reader, dir string, progress Progress) error {
	tables := Tables()
	words := slices.DeleteFunc(slices.Clone(tables), func(t Table) bool { return t.Name != "dictionary" })
	dictionary, err := newCSVFiles(dir, words)
	if err != nil {
		return err
	}
	s := &parquetFiles{dir: dir, dictionary: dictionary, tables: map[string]parquetTable{}}
	err = errors.Join(
		open[LedgerRow](s, "ledger"), open[RecordRow](s, "records"), open[FactRow](s, "facts"), open[FindingRow](s, "findings"),
		open[ReleaseRow](s, "releases"), open[SignerRow](s, "signers"), open[FileRow](s, "files"))
	if err == nil {
		err = walk(r, s, progress)
	}
	return errors.Join(err, s.close())
}

type parquetFiles struct {
	dir        string
	dictionary *csvFiles
	tables     map[string]parquetTable
}

type parquetTable interface {
	put(row any) error
	close() error
}

func open[T any](s *parquetFiles, name string) error {
	f, err := create(filepath.Join(s.dir, fileName(name, ".parquet")))
	if err != nil {
		return err
	}
	s.tables[name] = &parquetFile[T]{f, parquet.NewGenericWriter[T](f, parquet.Compression(&parquet.Zstd), parquet.MaxRowsPerRowGroup(rowGroup))}
	return nil
}

type parquetFile[T any] struct {
	f *os.File
	w *parquet.GenericWriter[T]
}

func (p *parquetFile[T]) put(row any) error {
	_, err := p.w.Write([]T{row.(T)})
	return err
}

func (p *parquetFile[T]) close() error { return errors.Join(p.w.Close(), p.f.Sync(), p.f.Close()) }

func (s *parquetFiles) put(table string, row any) error {
	if table == "dictionary" {
		return s.dictionary.put(table, row)
	}
	t := s.tables[table]
	if t == nil {
		return noTable(table)
	}
	return t.put(row)
}

func (s *parquetFiles) close() error {
	err := s.dictionary.close()
	for _, t := range s.tables {
		err = errors.Join(err, t.close())
	}
	return err
}
