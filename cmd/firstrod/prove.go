package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/exif"
	"firstrod/engine/proof"
)

// cosignedFile is the latest cosigned checkpoint, in the data folder.
const cosignedFile = "cosigned.txt"

// proveFlags are what prove is told.
type proveFlags struct {
	out      string
	since    []string
	evidence bool
}

// madeJSON is a proof file in JSON.
type madeJSON struct {
	File     string `json:"file"`
	Bore     string `json:"bore"`
	Records  int    `json:"records"`
	Versions int    `json:"versions"`
	Size     int64  `json:"log_records"`
	Root     string `json:"root"`
	Cosigned bool   `json:"cosigned"`
	Evidence int    `json:"evidence"`
	Left     int    `json:"evidence_left_out"`
	Bytes    int64  `json:"bytes"`
	Placed   int    `json:"evidence_with_place"`
}

func (a *app) prove() *cobra.Command {
	var f proveFlags
	cmd := &cobra.Command{
		Use:   "prove BORE -o FILE",
		Short: "Write everything on record of a bore into one file that proves itself",
		Long: `prove writes one file with the records of a bore, those they lean on, the rules
in force, what was signed, and the proof of each of them under the ledger's
signed checkpoint. Anybody can check it on any machine with "firstrod verify
FILE", or by hand: a README.txt in it tells how.

With --since CHECKPOINT it also proves that the ledger continues the one that a
checkpoint kept by the auditor was made over. With --evidence it has the pictures
and files that were shown, not only their hashes.

If a checkpoint was cosigned since the bore's last record, see "firstrod
checkpoint --cosign", the file rests on that one.`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.runProve(args[0], f) },
	}
	cmd.Flags().StringVarP(&f.out, "out", "o", "", "file to write (required)")
	cmd.Flags().StringArrayVar(&f.since, "since", nil, "file with an older checkpoint that the auditor holds; may be given more than once")
	cmd.Flags().BoolVar(&f.evidence, "evidence", false, "put the pictures and files that were shown into it")
	return a.jsonFlag(cmd)
}

func (a *app) runProve(name string, f proveFlags) error {
	if f.out == "" {
		return &engine.Error{Kind: engine.Usage, Say: "say which file to write", Hint: "firstrod prove " + name + " -o FILE"}
	}
	bore, err := engine.BoreID(name)
	if err != nil {
		return err
	}
	q := proof.Request{Bore: bore}
	if q.Since, err = readPins(f.since); err != nil {
		return err
	}
	r, err := a.reader()
	if err != nil {
		return err
	}
	if q.Cosigned, err = a.readCosigned(); err != nil {
		return errors.Join(err, r.Close())
	}
	placed := 0
	if f.evidence {
		kept := evidenceOf(r)
		q.Evidence = func(sum string) ([]byte, error) {
			data, err := kept(sum)
			if exif.Read(data).Place != nil {
				placed++
			}
			return data, err
		}
	}
	var made proof.Made
	err = writeFile(f.out, func(w io.Writer) (err error) {
		made, err = proof.Write(w, r, q)
		return err
	})
	if err = errors.Join(err, r.Close()); err != nil {
		return proveError(bore, err)
	}
	return a.reportProve(f.out, bore, made, placed)
}

func (a *app) reportProve(path, bore string, m proof.Made, placed int) error {
	if a.json {
		return a.printJSON(madeJSON{path, bore, m.Records, m.Versions, m.Checkpoint.Size, m.Checkpoint.Root.String(), m.Cosigned, m.Evidence, m.Left, m.Bytes, placed})
	}
	a.printf("%s: bore %s, its %d records and %d they lean on, proved under a checkpoint of %d records, %s\n",
		path, bore, m.Versions, m.Records-m.Versions, m.Checkpoint.Size, m.Checkpoint.Short())
	switch {
	case m.Cosigned:
		a.printf("The checkpoint is cosigned.\n")
	default:
		a.printf("The checkpoint is not cosigned: check the file against one that was kept elsewhere.\n")
	}
	if placed > 0 {
		a.printf("%d of the pictures in it say where they were taken; whoever has the file can read that.\n", placed)
	}
	if m.Left > 0 {
		a.printf("%d pictures or files of evidence are named by their hashes only; --evidence puts them in.\n", m.Left)
	}
	return nil
}

// proveError gives what Write says a kind and a sentence.
func proveError(bore string, err error) error {
	if _, ok := errors.AsType[*engine.Error](err); ok {
		return err
	}
	switch {
	case errors.Is(err, proof.ErrNoBore):
		return &engine.Error{Kind: engine.NotFound, Say: "there is no bore " + bore, Hint: "firstrod bores lists them"}
	case errors.Is(err, proof.ErrSince):
		return &engine.Error{Kind: engine.Damaged, Say: "the older checkpoint cannot be used", Err: err, Hint: "firstrod verify --pin FILE says what is wrong with the ledger"}
	}
	return &engine.Error{Kind: engine.Storage, Say: "the file could not be made", Err: err, Hint: "firstrod verify says whether the ledger is sound"}
}

// reader opens the ledger as it lies there, to check or to copy.
func (a *app) reader() (*boltstore.Reader, error) {
	if _, err := os.Stat(filepath.Join(a.config.Data, "ledger.db")); err != nil {
		return nil, &engine.Error{Kind: engine.NotFound, Say: "there is no ledger in " + a.config.Data, Hint: "--data names another folder", Err: err}
	}
	return boltstore.OpenReader(a.config.Data)
}

// writeFile writes a file whole or not at all.
func writeFile(path string, fill func(io.Writer) error) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".new-")
	if err != nil {
		return &engine.Error{Kind: engine.Storage, Say: "nothing can be written to " + filepath.Dir(path), Err: err}
	}
	err = fill(tmp)
	if err == nil {
		err = tmp.Chmod(0o644)
	}
	err = errors.Join(err, tmp.Sync(), tmp.Close())
	if err == nil {
		err = os.Rename(tmp.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(tmp.Name()))
	}
	return nil
}

// readPins reads files with checkpoints.
func readPins(paths []string) (pins [][]byte, err error) {
	for _, path := range paths {
		pin, err := os.ReadFile(path)
		if err != nil {
			return nil, &engine.Error{Kind: engine.Usage, Say: "the checkpoint cannot be read: " + path, Err: err}
		}
		pins = append(pins, pin)
	}
	return pins, nil
}
