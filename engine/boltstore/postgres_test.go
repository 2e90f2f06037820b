package boltstore

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"firstrod/engine/ledger"
)

const postgresBin = "/usr/lib/postgresql/15/bin"

// schema has for each question the index that serves it best.
const schema = `
CREATE TABLE record (seq bigint PRIMARY KEY, bore text, person text, role text, kind text, place text, rules text,
	logged timestamptz, void text, released boolean, fast int, body bytea);
CREATE TABLE finding (seq bigint, check_id text, status text);
CREATE TABLE serial (seq bigint, serial text);
CREATE TABLE loose (seq bigint, name text);`

const pgIndexes = `
CREATE INDEX ON record (bore, seq); CREATE INDEX ON record (person, seq); CREATE INDEX ON record (role, seq);
CREATE INDEX ON record (kind, seq); CREATE INDEX ON record (place text_pattern_ops, seq); CREATE INDEX ON record (rules, seq);
CREATE INDEX ON record (logged, seq); CREATE INDEX ON record (seq) WHERE void <> ''; CREATE INDEX ON record (seq) WHERE released;
CREATE INDEX ON record (seq) WHERE fast < 2; CREATE INDEX ON record (place, seq);
CREATE INDEX ON finding (check_id, status, seq); CREATE INDEX ON finding (check_id, seq); CREATE INDEX ON finding (status, seq); CREATE INDEX ON finding (seq);
CREATE INDEX ON serial (serial, seq); CREATE INDEX ON loose (name, seq);
VACUUM ANALYZE;`

// postgres starts a PostgreSQL of our own over a Unix socket, fills it with the
// records of s, and gives what asks it: the same records, read the same way. nil
// where there is none.
func postgres(t *testing.T, s *Store) func(q question, f ledger.Filter) ([]int64, error) {
	t.Helper()
	if _, err := os.Stat(postgresBin); err != nil {
		t.Log("no PostgreSQL 15 here; its column stays empty")
		return nil
	}
	conn := startPostgres(t)
	start := time.Now()
	if _, err := conn.Exec(t.Context(), schema); err != nil {
		t.Fatal(err)
	}
	fill(t, s, conn)
	for _, stmt := range splitSQL(pgIndexes) {
		if _, err := conn.Exec(t.Context(), stmt); err != nil {
			t.Fatal(stmt, err)
		}
	}
	t.Logf("PostgreSQL filled and indexed in %v", time.Since(start).Round(time.Second))
	return func(q question, f ledger.Filter) (seqs []int64, err error) {
		rows, err := conn.Query(context.Background(), q.sql, q.args(f)...)
		if err != nil {
			return nil, err
		}
		defer rows.Close()
		for rows.Next() {
			r, err := ledger.Decode(rows.RawValues()[0])
			if err != nil {
				return nil, err
			}
			seqs = append(seqs, r.Seq)
		}
		return seqs, rows.Err()
	}
}

func splitSQL(text string) (out []string) {
	from := 0
	for i, c := range text {
		if c == ';' {
			out = append(out, text[from:i])
			from = i + 1
		}
	}
	return out
}

// startPostgres runs as the user postgres, because it refuses to be root.
func startPostgres(t *testing.T) *pgx.Conn {
	t.Helper()
	u, err := user.Lookup("postgres")
	if err != nil {
		t.Skip("there is no user postgres")
	}
	uid, _ := strconv.Atoi(u.Uid)
	gid, _ := strconv.Atoi(u.Gid)
	dir, err := os.MkdirTemp("/tmp", "firstrod-pg-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chown(dir, uid, gid); err != nil {
		t.Fatal(err)
	}
	command := func(name string, args ...string) *exec.Cmd {
		cmd := exec.Command(filepath.Join(postgresBin, name), args...)
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
		cmd.Dir = dir
		return cmd
	}
	data := filepath.Join(dir, "data")
	if out, err := command("initdb", "-D", data, "-E", "UTF8", "--locale=C.UTF-8", "-U", "firstrod").CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, out)
	}
	server := command("postgres", "-D", data, "-k", dir, "-c", "listen_addresses=", "-c", "shared_buffers=512MB", "-c", "max_wal_size=4GB", "-c", "fsync=off")
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { server.Process.Signal(syscall.SIGINT); server.Wait() })
	for range 100 {
		conn, err := pgx.Connect(t.Context(), fmt.Sprintf("host=%s user=firstrod dbname=postgres", dir))
		if err == nil {
			t.Cleanup(func() { conn.Close(context.Background()) })
			return conn
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatal("PostgreSQL does not answer")
	return nil
}

// fill copies every record, and what it is found by.
func fill(t *testing.T, s *Store, conn *pgx.Conn) {
	t.Helper()
	rows := map[string][][]any{}
	columns := map[string][]string{
		"record":  {"seq", "bore", "person", "role", "kind", "place", "rules", "logged", "void", "released", "fast", "body"},
		"finding": {"seq", "check_id", "status"}, "serial": {"seq", "serial"}, "loose": {"seq", "name"},
	}
	flush := func() {
		for table, some := range rows {
			if _, err := conn.CopyFrom(t.Context(), pgx.Identifier{table}, columns[table], pgx.CopyFromRows(some)); err != nil {
				t.Fatal(err)
			}
		}
		clear(rows)
	}
	trails := map[string]ledger.Trail{}
	err := s.Records(t.Context(), 0, func(r ledger.Record) error {
		before := trails[r.Bore]
		trails[r.Bore] = before.After(r)
		add := func(table string, row ...any) { rows[table] = append(rows[table], append([]any{r.Seq}, row...)) }
		by := ledger.Actor{}
		if r.By != nil {
			by = *r.By
		}
		if r.Person != nil {
			by.ID = r.Person.ID
		}
		fast := 1000
		if d, ok := ledger.Pause(r, before); ok {
			fast = min(fast, int(d/time.Second))
		}
		body, err := ledger.Encode(r)
		if err != nil {
			return err
		}
		add("record", r.Bore, by.ID, by.Role, string(r.Kind), trails[r.Bore].Place, r.Rules, r.Logged, r.Void, r.Release != nil, fast, body)
		for status, keys := range r.Findings {
			for _, k := range keys {
				add("finding", k, status)
			}
		}
		for _, f := range r.Facts {
			if f.Kind == "serial" {
				add("serial", f.Value)
			}
		}
		if r.Release != nil {
			for _, l := range r.Release.Loose {
				add("loose", l)
			}
		}
		if len(rows["record"]) == 20_000 {
			flush()
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	flush()
}
