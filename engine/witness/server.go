package witness

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// maxBody is what a request may have: 63 hashes and a checkpoint.
const maxBody = maxNote + 8<<10

// Config is what a witness is made of.
type Config struct {
	Key   Cosigner
	Logs  []string // public keys of the logs it watches, in signed-note form
	State *State
	Clock func() time.Time // nil: time.Now
	// Told hears of every request in a sentence, with the request itself where it may
	// be proof that a log misbehaves; may be nil.
	Told func(say string, request []byte)
}

// Server is a witness as an http.Handler: POST /add-checkpoint.
type Server struct {
	c    Config
	logs map[string][]note.Verifier // by origin
}

// New makes a witness. It reads back what the state has, and refuses one that does
// not belong to these logs.
func New(c Config) (*Server, error) {
	if c.Clock == nil {
		c.Clock = time.Now
	}
	if c.Told == nil {
		c.Told = func(string, []byte) {}
	}
	s := &Server{c: c, logs: map[string][]note.Verifier{}}
	for _, key := range c.Logs {
		v, err := note.NewVerifier(key)
		if err != nil {
			return nil, fmt.Errorf("the key of a log: %w", err)
		}
		s.logs[v.Name()] = append(s.logs[v.Name()], v)
	}
	if len(s.logs) == 0 {
		return nil, errors.New("a witness without a log to watch")
	}
	for origin := range c.State.last {
		if _, err := c.State.latest(origin, s.logs[origin]); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// refusal is an answer other than a cosignature.
type refusal struct {
	status int
	say    string
	size   int64 // for a 409 about the size, as the whole answer; else -1
}

func (r *refusal) Error() string { return r.say }

func refuse(status int, format string, args ...any) *refusal {
	return &refusal{status, fmt.Sprintf(format, args...), -1}
}

// ServeHTTP is of http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	switch {
	case r.URL.Path != "/add-checkpoint":
		http.Error(w, "there is only /add-checkpoint", http.StatusNotFound)
		return
	case r.Method != http.MethodPost:
		w.Header().Set("Allow", http.MethodPost)
		http.Error(w, "POST a checkpoint", http.StatusMethodNotAllowed)
		return
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxBody))
	if err != nil {
		http.Error(w, "the request is too long, or was cut short", http.StatusRequestEntityTooLarge)
		return
	}
	line, err := s.add(body)
	if err == nil {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		_, _ = io.WriteString(w, line) // whoever asked has gone, or not
		return
	}
	no, ok := errors.AsType[*refusal](err)
	if !ok {
		s.c.Told("cannot be kept, so nothing was cosigned: "+err.Error(), nil)
		http.Error(w, "the witness cannot keep its state", http.StatusInternalServerError)
		return
	}
	if no.size >= 0 {
		w.Header().Set("Content-Type", "text/x.tlog.size")
		w.WriteHeader(no.status)
		fmt.Fprintf(w, "%d\n", no.size)
		return
	}
	http.Error(w, no.say, no.status)
}

// add is one request, start to end, one at a time: what was compared with is what is
// replaced.
func (s *Server) add(body []byte) (line string, err error) {
	req, err := readRequest(body)
	if err != nil {
		return "", refuse(http.StatusBadRequest, "%v", err)
	}
	keys := s.logs[req.head.Origin]
	if keys == nil {
		return "", refuse(http.StatusNotFound, "this witness does not know the log %.80q", req.head.Origin)
	}
	c, text, sigs, err := open(req.note, keys...)
	if err != nil || c != req.head {
		return "", refuse(http.StatusForbidden, "the checkpoint is not signed by the log")
	}
	s.c.State.mu.Lock()
	defer s.c.State.mu.Unlock()
	last, err := s.c.State.latest(c.Origin, keys)
	if err != nil {
		return "", err
	}
	if no := grows(last, c, req); no != nil {
		s.c.Told(fmt.Sprintf("refused %d: %s", no.status, no.say), body)
		return "", no
	}
	if c.Size > last.Size || c.Root != last.Root {
		if err := s.c.State.put(c.Origin, signedBy(text, sigs)); err != nil {
			return "", err
		}
	}
	s.c.Told(fmt.Sprintf("cosigned %s at %d records, root %s", c.Origin, c.Size, c.Root), nil)
	return s.c.Key.line([]byte(text), s.c.Clock()), nil
}

// signedBy is the note with the log's own signatures only.
func signedBy(text string, sigs []note.Signature) []byte {
	out := text + "\n"
	for _, s := range sigs {
		out += fmt.Sprintf("— %s %s\n", s.Name, s.Base64)
	}
	return []byte(out)
}

// grows says why a checkpoint may not follow the last one.
func grows(last, c ledger.Checkpoint, req request) *refusal {
	never := last.Root == tlog.Hash{}
	empty := tlog.Hash(emptyRoot)
	switch {
	case req.old > c.Size:
		return refuse(http.StatusBadRequest, "the old size is larger than the checkpoint's")
	case req.old != last.Size:
		no := refuse(http.StatusConflict, "rollback or a late request: from %d to %d records, the last one had %d", req.old, c.Size, last.Size)
		no.size = last.Size
		return no
	case c.Size == last.Size && !never && c.Root != last.Root:
		return refuse(http.StatusConflict, "fork: two checkpoints of %d records and not of the same ones", c.Size)
	case req.old == 0 && len(req.proof) > 0, req.old == c.Size && len(req.proof) > 0:
		return refuse(http.StatusUnprocessableEntity, "there is nothing to prove, and a proof")
	case c.Size == 0 && c.Root != empty:
		return refuse(http.StatusUnprocessableEntity, "the root of no records is another one")
	case req.old > 0 && tlog.CheckTree(req.proof, c.Size, c.Root, last.Size, last.Root) != nil:
		return refuse(http.StatusUnprocessableEntity, "fork, or no proof: the log of %d records is not shown to continue that of %d", c.Size, last.Size)
	}
	return nil
}
