package witness

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// Errors of Cosign.
var (
	ErrAhead    = errors.New("the witness has seen a longer ledger than this one")
	ErrNoAnswer = errors.New("the witness does not answer as one should")
	ErrRefused  = errors.New("the witness refused")
)

// Ask is what is asked of a witness.
type Ask struct {
	URL     string          // its submission prefix, without /add-checkpoint
	Witness Key             // whose cosignature is wanted; others are passed over
	Note    []byte          // the checkpoint, signed by the log
	Since   int64           // size that it cosigned last, as far as is known; 0 if not known
	Hashes  tlog.HashReader // of the log
	HTTP    *http.Client    // nil: http.DefaultClient
}

// Cosign asks a witness to cosign a checkpoint and gives its signature line. The
// witness may know another size than Since: it is then asked again, once, from there.
func Cosign(ctx context.Context, a Ask) (line string, err error) {
	text, ok := textOf(a.Note)
	if !ok {
		return "", errNote
	}
	c, err := ledger.ParseCheckpoint(text)
	if err != nil {
		return "", err
	}
	since := min(a.Since, c.Size)
	for range 2 {
		answer, size, err := a.post(ctx, c, since)
		if err != nil {
			return "", err
		}
		if size < 0 {
			return a.own(text, answer)
		}
		if size > c.Size {
			return "", fmt.Errorf("%w: %d records there, %d here", ErrAhead, size, c.Size)
		}
		since = size
	}
	return "", fmt.Errorf("%w: it names one size after the other", ErrNoAnswer)
}

// post asks once. size is that which the witness wants to be asked from, or -1.
func (a Ask) post(ctx context.Context, c ledger.Checkpoint, since int64) (answer string, size int64, err error) {
	req := request{old: since, note: a.Note}
	if since > 0 && since < c.Size {
		if req.proof, err = tlog.ProveTree(c.Size, since, a.Hashes); err != nil {
			return "", 0, err
		}
	}
	url := strings.TrimSuffix(a.URL, "/") + "/add-checkpoint"
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, url, bytes.NewReader(req.encode()))
	if err != nil {
		return "", 0, err
	}
	client := a.HTTP
	if client == nil {
		client = http.DefaultClient
	}
	resp, err := client.Do(r)
	if err != nil {
		return "", 0, err
	}
	defer resp.Body.Close()
	raw, err := io.ReadAll(io.LimitReader(resp.Body, maxNote))
	if err != nil {
		return "", 0, err
	}
	said := strings.TrimSpace(string(raw))
	switch {
	case resp.StatusCode == http.StatusOK:
		return string(raw), -1, nil
	case resp.StatusCode == http.StatusConflict && resp.Header.Get("Content-Type") == "text/x.tlog.size":
		size, err = strconv.ParseInt(said, 10, 64)
		if err != nil || size < 0 {
			return "", 0, fmt.Errorf("%w: %.80q is no size", ErrNoAnswer, said)
		}
		return "", size, nil
	}
	return "", 0, fmt.Errorf("%w: %d, %.200s", ErrRefused, resp.StatusCode, said)
}

// own finds the wanted witness's line in an answer, and verifies it.
func (a Ask) own(text, answer string) (string, error) {
	n, err := note.Open([]byte(text+"\n"+answer), note.VerifierList(a.Witness))
	if err != nil || len(n.Sigs) != 1 {
		return "", fmt.Errorf("%w: there is no cosignature of %s", ErrNoAnswer, a.Witness.Name())
	}
	return fmt.Sprintf("— %s %s\n", n.Sigs[0].Name, n.Sigs[0].Base64), nil
}
