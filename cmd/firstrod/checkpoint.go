package main

import (
	"context"
	"errors"
	"io"
	"net/http"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/mod/sumdb/note"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
	"firstrod/engine/witness"
)

// witnessWait is how long a witness may take. The ledger is kept from being written
// meanwhile.
const witnessWait = 15 * time.Second

// checkpoint prints the latest checkpoint, to be kept where the owner of this
// machine cannot change it, and has it cosigned.
func (a *app) checkpoint() *cobra.Command {
	var url, key string
	public := false
	cmd := &cobra.Command{
		Use:   "checkpoint",
		Short: "Print the ledger's latest signed checkpoint, to be kept elsewhere",
		Long: `checkpoint prints a signed note of a few lines: the ledger's name, its size and
the root of its tree. Kept somewhere else, in a mail or with the owner of the
line, it shows later with "firstrod verify --pin FILE" that nothing before it
was changed or taken away, not even by whoever holds the ledger's key.

With --cosign URL it first asks a witness, see "firstrod witness", to cosign the
checkpoint, and keeps it with the cosignature in cosigned.txt in the data folder.
--witness is the witness's public key: a cosignature of another one is not taken.
Run it once for each witness.

With --public-key it prints the ledger's public key instead, for those who will
check: a witness, an auditor.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r, err := a.reader()
			if err != nil {
				return err
			}
			msg, err := r.Checkpoint()
			if public {
				msg, err = logKey(r)
			}
			if err == nil && (url != "" || key != "") {
				msg, err = a.cosign(cmd.Context(), r, msg, url, key)
			}
			if err = errors.Join(err, r.Close()); err != nil {
				return err
			}
			_, err = a.out.Write(msg)
			return err
		},
	}
	cmd.Flags().StringVar(&url, "cosign", "", "URL of a witness, to have the checkpoint cosigned")
	cmd.Flags().StringVar(&key, "witness", "", "the witness's public key")
	cmd.Flags().BoolVar(&public, "public-key", false, "print the ledger's public key")
	cmd.MarkFlagsMutuallyExclusive("public-key", "cosign")
	return cmd
}

// logKey is the public key that the ledger signs with now.
func logKey(r *boltstore.Reader) ([]byte, error) {
	keys, err := r.Keys()
	if err != nil {
		return nil, err
	}
	return []byte(keys.Current() + "\n"), nil
}

// cosign asks a witness and keeps what it gave.
func (a *app) cosign(ctx context.Context, r *boltstore.Reader, msg []byte, url, key string) ([]byte, error) {
	if url == "" || key == "" {
		return nil, &engine.Error{Kind: engine.Usage, Say: "a witness has a URL and a public key", Hint: "firstrod checkpoint --cosign URL --witness KEY"}
	}
	k, err := witness.ParseKey(key)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "the witness's key cannot be read", Hint: "firstrod witness key prints it", Err: err}
	}
	before, err := a.readCosigned()
	if err != nil {
		return nil, err
	}
	line, err := witness.Cosign(ctx, witness.Ask{
		URL: url, Witness: k, Note: msg, Since: sizeOf(before, k), Hashes: r, HTTP: &http.Client{Timeout: witnessWait},
	})
	if err != nil {
		return nil, cosignError(err)
	}
	if before != nil && textPart(before) == textPart(msg) {
		msg = before // with what other witnesses gave
	}
	msg = witness.Merge(msg, []string{line})
	return msg, writeFile(filepath.Join(a.config.Data, cosignedFile), func(w io.Writer) error {
		_, err := w.Write(msg)
		return err
	})
}

// sizeOf is the size that a witness cosigned last, as far as it can be told.
func sizeOf(cosigned []byte, k witness.Key) int64 {
	n, err := note.Open(cosigned, note.VerifierList(k))
	if err != nil {
		return 0
	}
	c, err := ledger.ParseCheckpoint(n.Text)
	if err != nil {
		return 0
	}
	return c.Size
}

// textPart is the signed text of a note.
func textPart(msg []byte) string {
	n, err := note.Open(msg, note.VerifierList())
	if unknown, ok := errors.AsType[*note.UnverifiedNoteError](err); ok {
		n = unknown.Note
	}
	if n == nil {
		return ""
	}
	return n.Text
}

// cosignError says what a witness's no means.
func cosignError(err error) error {
	switch {
	case errors.Is(err, witness.ErrAhead):
		return &engine.Error{Kind: engine.Damaged, Err: err, Say: "rollback: the witness has seen a longer ledger than this one",
			Hint: "was a backup put back? nothing should be written until somebody has looked"}
	case errors.Is(err, witness.ErrRefused):
		return &engine.Error{Kind: engine.Damaged, Err: err, Say: "the witness does not cosign",
			Hint: "422 and 409: this ledger does not continue what it saw; 403 and 404: it does not know this ledger"}
	}
	return &engine.Error{Kind: engine.Internal, Err: err, Say: "the witness gave no cosignature", Hint: "try again later; the ledger is as it was"}
}
