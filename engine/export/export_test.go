package export_test

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"

	"firstrod/engine/boltstore"
	"firstrod/engine/enginetest"
	"firstrod/engine/export"
	"firstrod/engine/ledger"
)

// nasty are texts that somebody could type to hurt whoever reads them.
func nasty() []string {
	return []string{"../../etc/passwd", "=HYPERLINK(\"http://x\")", "@SUM(A1)", "-12 dB", "+1", "a\x00b", "'; DROP TABLE records; --", "\t=1", "línea\nnueva", "＝1"}
}

// filled is a ledger with some of everything.
func filled(t *testing.T) *boltstore.Reader {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "data")
	s, err := boltstore.Open(dir, boltstore.Options{})
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 3, 2, 7, 0, 0, 5, time.UTC)
	for i := range int64(24) {
		bore := fmt.Sprint("b", i%3)
		e := enginetest.Answer(bore, i/3+1, fmt.Sprint(i))
		r := &e.Record
		text := nasty()[int(i)%len(nasty())]
		r.At, r.Typed, r.Why = at.Add(time.Duration(i)*time.Minute), text, text
		if r.Open != nil {
			r.Open.Jurisdiction, r.Open.Title = "US-VA/alder", text
		}
		r.Facts = []ledger.Fact{
			{Key: "near_reading@9500", Kind: "length", Typed: text, Value: "3175/2", Unit: "um"},
			{Key: "frequencies", Kind: "frequencies", Typed: text, Value: "2", Items: []string{"9500", "22000"}},
			{Key: "site_address", Kind: "text", Typed: text, Value: text, From: "b9"},
		}
		r.Findings = map[string][]string{"pass": {"a.b@9500", "a.c"}, "fail": {"a.d@" + text}}
		r.Gone = []string{"a.e@1"}
		r.Shown = []ledger.File{{Name: text, Sum: "00", Size: 3, Type: "image/png"}}
		if i == 20 {
			r.Release = &ledger.Release{Until: at.Add(time.Hour), Checks: 3, Input: "00", Loose: []string{"ground.standoff"}, Waived: []string{"a.d"},
				Signers: []ledger.Actor{{ID: "p_1", Role: "locating_hand"}, {ID: "p_2", Role: "drill_operator"}}}
		}
		if _, err := s.Append(context.Background(), e); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := boltstore.OpenReader(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	return r
}

// shape is the faults of a verification that concern bytes and tree. Records
// that a test makes up mean nothing, and are found guilty of that too.
func shape(t *testing.T, r ledger.Reader) (out []ledger.Fault) {
	t.Helper()
	ledger.Verify(r, ledger.Options{}, func(f ledger.Fault) {
		switch f.Code {
		case ledger.FaultRoot, ledger.FaultDecode, ledger.FaultSeq, ledger.FaultGap, ledger.FaultBeyond, ledger.FaultCheckpoint, ledger.FaultUnreadable:
			out = append(out, f)
		}
	})
	return out
}

func compare(t *testing.T, path string) (out []ledger.Fault) {
	t.Helper()
	f, err := export.OpenSQLite(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	f.Compare(func(f ledger.Fault) { out = append(out, f) })
	return out
}

// A SQLite file carries the ledger, whatever it is called, and nothing is written
// over or beside it.
func TestSQLiteIsTheLedger(t *testing.T) {
	r := filled(t)
	dir := t.TempDir()
	for _, name := range []string{"a.sqlite", "b?mode=memory", "c%41#x", "d e'f"} {
		path := filepath.Join(dir, name)
		if err := export.SQLite(r, path, nil); err != nil {
			t.Fatal(err)
		}
		f, err := export.OpenSQLite(path)
		if err != nil {
			t.Fatal(err)
		}
		if faults := shape(t, f); len(faults) > 0 {
			t.Errorf("%s: %+v", name, faults)
		}
		got, err := f.Records(0, 100)
		want, werr := r.Records(0, 100)
		if err != nil || werr != nil || !slices.EqualFunc(got, want, func(a, b ledger.Row) bool { return a.Seq == b.Seq && bytes.Equal(a.Data, b.Data) }) {
			t.Errorf("%s: other bytes: %v %v", name, err, werr)
		}
		f.Close()
		if faults := compare(t, path); len(faults) > 0 {
			t.Errorf("%s: %+v", name, faults)
		}
		if err := export.SQLite(r, path, nil); err == nil {
			t.Errorf("%s was written over", name)
		}
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 4 {
		t.Errorf("%v %v", left, err)
	}
}

// Whoever changes a table, and not the bytes, is found by comparing; whoever
// changes the bytes, by the tree.
func TestTamperedSQLite(t *testing.T) {
	r := filled(t)
	for _, tt := range []struct {
		do  string
		seq int64
		say string
	}{
		{"UPDATE findings SET status='pass' WHERE record=7 AND check_id='a.d'", 7, "findings"},
		{"DELETE FROM findings WHERE record=7 AND check_id='a.d'", 7, "findings"},
		{"INSERT INTO findings VALUES (7,'b0','a.z','','fail')", -1, "findings"},
		{"INSERT INTO findings VALUES (7000,'b0','a.z','','fail')", -1, "findings"},
		{"UPDATE facts SET value='1' WHERE record=7 AND place=0", 7, "facts"},
		{"UPDATE records SET leaf='00' WHERE record=7", 7, "records"},
		{"UPDATE records SET typed=CAST(typed AS BLOB) WHERE record=7", 7, "records"},
		{"UPDATE releases SET until='2030-01-01T00:00:00.000000000Z'", 21, "releases"},
		{"DELETE FROM signers WHERE place=1", 21, "signers"},
		{"UPDATE files SET sum='11' WHERE record=3", 3, "files"},
		{"UPDATE ledger SET root='x'", -1, "ledger"},
		{"UPDATE dictionary SET meaning='x' WHERE column_name='leaf'", -1, "dictionary"},
		{"DROP TABLE files", -1, "cannot be compared"},
	} {
		path := changed(t, r, tt.do)
		faults := compare(t, path)
		if len(faults) == 0 || faults[0].Seq != tt.seq && faults[len(faults)-1].Seq != tt.seq || !strings.Contains(faults[0].Say, tt.say) {
			t.Errorf("%s: %+v", tt.do, faults)
		}
	}
	for _, do := range []string{
		"UPDATE records SET exact=replace(exact, '\"kind\":\"answer\"', '\"kind\":\"hold\"') WHERE record=7",
		"DELETE FROM records WHERE record=24", "DELETE FROM records WHERE record=7", "UPDATE records SET exact='{}' WHERE record=7",
		"UPDATE records SET exact=exact||zeroblob(100000) WHERE record=7", "UPDATE ledger SET note='x'",
	} {
		f, err := export.OpenSQLite(changed(t, r, do))
		if err != nil {
			t.Fatal(err)
		}
		if len(shape(t, f)) == 0 {
			t.Errorf("%s is not found", do)
		}
		f.Close()
	}
}

func changed(t *testing.T, r ledger.Reader, do string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "x.sqlite")
	if err := export.SQLite(r, path, nil); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(do); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestNoLedgerAtAll(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	for _, text := range []string{"", "SQLite format 3\x00", "hello"} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if f, err := export.OpenSQLite(path); err == nil {
			f.Close()
			t.Errorf("%q is taken for an export", text)
		}
	}
	if _, err := export.OpenSQLite(filepath.Join(t.TempDir(), "none")); err == nil {
		t.Error("a missing file is made")
	}
}

// The four forms say the same: every row of every table, cell by cell, with JSON
// lines as the measure.
func TestFormsAgree(t *testing.T) {
	r := filled(t)
	dir := t.TempDir()
	var text bytes.Buffer
	if err := export.JSONL(r, &text, nil); err != nil {
		t.Fatal(err)
	}
	want := map[string][][]string{}
	for dec := json.NewDecoder(&text); dec.More(); {
		row := map[string]any{}
		dec.UseNumber()
		if err := dec.Decode(&row); err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprint(row["table"])
		want[name] = append(want[name], inOrder(name, func(c string) string { return fmt.Sprint(row[c]) }))
	}
	if err := export.CSV(r, filepath.Join(dir, "csv"), nil); err != nil {
		t.Fatal(err)
	}
	if err := export.SQLite(r, filepath.Join(dir, "x.sqlite"), nil); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", filepath.Join(dir, "x.sqlite"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, table := range export.Tables() {
		if got := fromCSV(t, filepath.Join(dir, "csv"), table.Name); !same(got, want[table.Name]) {
			t.Errorf("CSV %s\n%q\nwant\n%q", table.Name, got, want[table.Name])
		}
		if got := fromSQLite(t, db, table.Name); !same(got, want[table.Name]) {
			t.Errorf("SQLite %s\n%q\nwant\n%q", table.Name, got, want[table.Name])
		}
		if len(want[table.Name]) == 0 {
			t.Errorf("nothing is in %s", table.Name)
		}
	}
}

func same(a, b [][]string) bool { return slices.EqualFunc(a, b, slices.Equal[[]string]) }

func inOrder(table string, get func(column string) string) (out []string) {
	for _, t := range export.Tables() {
		for _, c := range t.Columns {
			if t.Name == table {
				out = append(out, get(c.Name))
			}
		}
	}
	return out
}

// fromCSV reads a file back, and looks for what a spreadsheet would run.
func fromCSV(t *testing.T, dir, table string) [][]string {
	t.Helper()
	name := table + ".csv"
	if table == "dictionary" {
		name = export.DictionaryFile
	}
	f, err := os.Open(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		for i, cell := range row {
			if strings.HasPrefix(cell, "=") || strings.HasPrefix(cell, "@") || strings.HasPrefix(cell, "-") && strings.Contains(cell, "dB") {
				t.Errorf("%q runs in a spreadsheet", cell)
			}
			row[i] = export.Uncell(cell)
		}
	}
	return rows[1:]
}

func fromSQLite(t *testing.T, db *sql.DB, table string) (out [][]string) {
	t.Helper()
	rows, err := db.Query("SELECT * FROM " + table + " ORDER BY rowid")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	names, _ := rows.Columns()
	for rows.Next() {
		row, to := make([]any, len(names)), make([]any, len(names))
		for i := range to {
			to[i] = &row[i]
		}
		if err := rows.Scan(to...); err != nil {
			t.Fatal(err)
		}
		var cells []string
		for _, c := range row {
			cells = append(cells, fmt.Sprint(c))
		}
		out = append(out, cells)
	}
	return out
}

// Parquet has the same rows, read back by the library that wrote it: the exact
// bytes of every record, and the times to the nanosecond.
func TestParquet(t *testing.T) {
	r := filled(t)
	dir := filepath.Join(t.TempDir(), "p")
	if err := export.Parquet(r, dir, nil); err != nil {
		t.Fatal(err)
	}
	rows, err := parquet.ReadFile[export.RecordRow](filepath.Join(dir, "records.parquet"))
	want, werr := r.Records(0, 100)
	if err != nil || werr != nil || len(rows) != len(want) {
		t.Fatalf("%d rows, %v %v", len(rows), err, werr)
	}
	for i, row := range rows {
		rec, err := ledger.Decode([]byte(row.Exact))
		if err != nil || row.Exact != string(want[i].Data) || !row.At.Equal(rec.At) || !row.Logged.Equal(rec.Logged) || row.Typed != rec.Typed {
			t.Errorf("record %d: %+v %v", i, row, err)
		}
	}
	facts, err := parquet.ReadFile[export.FactRow](filepath.Join(dir, "facts.parquet"))
	if err != nil || len(facts) != 72 || facts[0].Number != "1587.500000" || facts[1].Number != "2" || facts[2].Number != "" {
		t.Errorf("%d facts, %v", len(facts), err)
	}
	if err := export.Parquet(r, dir, nil); err == nil {
		t.Error("the folder was written over")
	}
	if _, err := os.Stat(filepath.Join(dir, export.DictionaryFile)); err != nil {
		t.Error(err)
	}
}

func TestEveryColumnIsExplained(t *testing.T) {
	for _, d := range export.Dictionary() {
		if len(d.Meaning) < 8 || d.Type == "time" && d.Unit != "UTC" {
			t.Errorf("%+v", d)
		}
	}
}

// pythonCheck reads the file with another implementation of SQLite and of
// SHA-256, and looks a word up.
const pythonCheck = `
import sqlite3, hashlib, sys
db = sqlite3.connect("file:" + sys.argv[1] + "?mode=ro", uri=True)
n = 0
for leaf, exact in db.execute("SELECT leaf, exact FROM records ORDER BY record"):
    assert hashlib.sha256(b"\0" + exact.encode()).hexdigest() == leaf, exact
    n += 1
hits = db.execute("SELECT count(*) FROM records WHERE record IN (SELECT rowid FROM free_text WHERE free_text MATCH 'passwd')").fetchone()[0]
assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
print(n, hits)
`

func TestSQLiteReadByAnotherProgram(t *testing.T) {
	if exec.Command("python3", "-c", "import sqlite3").Run() != nil {
		t.Skip("python3 with sqlite3 is not here")
	}
	path := filepath.Join(t.TempDir(), "x.sqlite")
	if err := export.SQLite(filled(t), path, nil); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("python3", "-c", pythonCheck, path).CombinedOutput()
	if err != nil || strings.TrimSpace(string(out)) != "25 3" {
		t.Errorf("%s %v", out, err)
	}
}
