package witness

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

const origin = "firstrod.local/0123456789abcdef"

// log is a growing log with a fixed key.
type log struct {
	t      testing.TB
	signer note.Signer
	public string
	hashes []tlog.Hash
	size   int64
}

func newLog(t testing.TB, fill byte) *log {
	t.Helper()
	secret, public, err := ledger.NewKey(bytes.NewReader(bytes.Repeat([]byte{fill}, 64)), origin)
	if err != nil {
		t.Fatal(err)
	}
	s, err := note.NewSigner(secret)
	if err != nil {
		t.Fatal(err)
	}
	return &log{t: t, signer: s, public: public}
}

func (l *log) ReadHashes(ix []int64) (out []tlog.Hash, err error) {
	for _, i := range ix {
		if i >= int64(len(l.hashes)) {
			return nil, errors.New("no such hash")
		}
		out = append(out, l.hashes[i])
	}
	return out, nil
}

// grow adds records.
func (l *log) grow(records ...string) *log {
	l.t.Helper()
	for _, r := range records {
		hs, err := tlog.StoredHashes(l.size, []byte(r), l)
		if err != nil {
			l.t.Fatal(err)
		}
		l.hashes, l.size = append(l.hashes, hs...), l.size+1
	}
	return l
}

// at is the checkpoint at a size.
func (l *log) at(size int64) []byte {
	l.t.Helper()
	root := tlog.Hash(emptyRoot)
	if size > 0 {
		var err error
		if root, err = tlog.TreeHash(size, l); err != nil {
			l.t.Fatal(err)
		}
	}
	msg, err := ledger.Checkpoint{Origin: l.signer.Name(), Size: size, Root: root}.Sign(l.signer)
	if err != nil {
		l.t.Fatal(err)
	}
	return msg
}

// from is the request to go from one size to another.
func (l *log) from(old, size int64) []byte {
	l.t.Helper()
	r := request{old: old, note: l.at(size)}
	if old > 0 && old < size {
		p, err := tlog.ProveTree(size, old, l)
		if err != nil {
			l.t.Fatal(err)
		}
		r.proof = p
	}
	return r.encode()
}

var now = time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC)

func cosigner(t testing.TB, fill byte, name string) (Cosigner, string, string) {
	t.Helper()
	secret, public, err := NewKey(bytes.NewReader(bytes.Repeat([]byte{fill}, 64)), name)
	if err != nil {
		t.Fatal(err)
	}
	c, err := ParseCosigner(secret)
	if err != nil {
		t.Fatal(err)
	}
	return c, secret, public
}

// yard is a witness in a test server, whose state survives restart.
type yard struct {
	t     *testing.T
	path  string
	state *State
	http  *httptest.Server
	key   Cosigner
	logs  []string
	told  []string
}

func newYard(t *testing.T, logs ...string) *yard {
	t.Helper()
	key, _, _ := cosigner(t, 7, "yard.example/witness")
	y := &yard{t: t, path: filepath.Join(t.TempDir(), "state.json"), key: key, logs: logs}
	y.start(true)
	t.Cleanup(y.stop)
	return y
}

func (y *yard) start(isNew bool) {
	y.t.Helper()
	var err error
	if y.state, err = Open(y.path, isNew); err != nil {
		y.t.Fatal(err)
	}
	s, err := New(Config{Key: y.key, Logs: y.logs, State: y.state, Clock: func() time.Time { return now },
		Told: func(say string, _ []byte) { y.told = append(y.told, say) }})
	if err != nil {
		y.t.Fatal(err)
	}
	y.http = httptest.NewServer(s)
}

func (y *yard) stop() {
	y.http.Client().CloseIdleConnections()
	y.http.Close()
	y.state.Close()
}

// post sends a body and gives status, type and answer.
func (y *yard) post(body []byte) (int, string, string) {
	y.t.Helper()
	resp, err := y.http.Client().Post(y.http.URL+"/add-checkpoint", "text/plain", bytes.NewReader(body))
	if err != nil {
		y.t.Fatal(err)
	}
	defer resp.Body.Close()
	raw, err := io.ReadAll(resp.Body)
	if err != nil {
		y.t.Fatal(err)
	}
	return resp.StatusCode, resp.Header.Get("Content-Type"), string(raw)
}

// wants posts and compares the status.
func (y *yard) wants(status int, body []byte) string {
	y.t.Helper()
	got, _, answer := y.post(body)
	if got != status {
		y.t.Errorf("%d, want %d: %s", got, status, answer)
	}
	return answer
}

func letters(s string) []string { return strings.Split(s, "") }

var _ http.Handler = (*Server)(nil)
