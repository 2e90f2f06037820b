package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/witness"
)

func (a *app) witness() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "witness",
		Short: "Vouch, on another machine, that a ledger only ever grows",
		Long: `A witness belongs to another department than the ledger, on a machine of its own.
It looks at each checkpoint it is sent, has it proved that the ledger continues
the last one it saw, and cosigns it. It never sees a record.

It follows the C2SP tlog-witness protocol; so do other witnesses and logs.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(a.witnessKey(), a.witnessServe())
	for _, sub := range cmd.Commands() {
		wrapArgs(sub)
	}
	return cmd
}

func (a *app) witnessKey() *cobra.Command {
	name, out := "", ""
	cmd := &cobra.Command{
		Use:   "key --name NAME --out FILE",
		Short: "Make a witness's key: the secret into a file, the public key on the screen",
		RunE: func(*cobra.Command, []string) error {
			secret, public, err := witness.NewKey(rand.Reader, name)
			if err != nil {
				return &engine.Error{Kind: engine.Usage, Say: "a witness needs a name without blanks and plus signs, such as safety.example/witness", Err: err}
			}
			f, err := os.OpenFile(out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
			if err != nil {
				return &engine.Error{Kind: engine.Usage, Say: "the key cannot be written, or there is one already: " + out, Err: err}
			}
			_, err = f.WriteString(secret + "\n")
			if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
				return &engine.Error{Kind: engine.Storage, Say: "the key cannot be written: " + out, Err: err}
			}
			a.printf("%s\n", public)
			return nil
		},
	}
	cmd.Flags().StringVar(&name, "name", "", "name of the witness, such as safety.example/witness")
	cmd.Flags().StringVar(&out, "out", "witness.key", "file for the secret key")
	return cmd
}

// witnessFlags are what witness serve is told.
type witnessFlags struct {
	listen, state, key string
	logs               []string
	isNew              bool
}

func (a *app) witnessServe() *cobra.Command {
	var f witnessFlags
	cmd := &cobra.Command{
		Use:   "serve --log KEY",
		Short: "Answer requests for cosignatures until stopped",
		Long: `serve answers POST /add-checkpoint. --log is the public key of a ledger it watches,
"firstrod checkpoint --public-key" prints it there; it may be given more than once.

The state is what the witness saw last of each ledger. It is written before
anything is cosigned. A witness that forgets could be made to vouch for another
history: it does not start without its state, unless --new says that there was
none yet. If the state is lost, make a new key as well.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return a.runWitness(cmd.Context(), f) },
	}
	cmd.Flags().StringVar(&f.listen, "listen", "127.0.0.1:8475", "address to listen on")
	cmd.Flags().StringVar(&f.state, "state", "witness.json", "file with what the witness saw last")
	cmd.Flags().StringVar(&f.key, "key", "witness.key", "file with the witness's secret key")
	cmd.Flags().StringArrayVar(&f.logs, "log", nil, "public key of a ledger to watch")
	cmd.Flags().BoolVar(&f.isNew, "new", false, "this witness is new: start with an empty state")
	return cmd
}

func (a *app) runWitness(ctx context.Context, f witnessFlags) (err error) {
	key, err := readCosigner(f.key)
	if err != nil {
		return err
	}
	state, err := witness.Open(f.state, f.isNew)
	if err != nil {
		return stateError(f.state, err)
	}
	defer func() { err = errors.Join(err, state.Close()) }()
	w, err := witness.New(witness.Config{Key: key, Logs: f.logs, State: state, Told: a.told})
	if err != nil {
		return stateError(f.state, err)
	}
	l, err := net.Listen("tcp", f.listen)
	if err != nil {
		return &engine.Error{Kind: engine.Usage, Say: "the witness cannot listen on " + f.listen, Err: err}
	}
	a.printf("witness %s on http://%s\n", key.Key().Name(), l.Addr())
	return serveUntil(ctx, l, w)
}

// told writes what the witness did, and the whole of a request that may be proof
// against a log.
func (a *app) told(say string, request []byte) {
	fmt.Fprintf(a.err, "%s %s\n", time.Now().UTC().Format(time.RFC3339), say)
	for line := range strings.Lines(string(request)) {
		fmt.Fprintf(a.err, "    %s", line)
	}
}

// serveUntil answers until ctx ends, and then lets what is going on finish.
func serveUntil(ctx context.Context, l net.Listener, h http.Handler) error {
	srv := &http.Server{
		Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second,
		WriteTimeout: 10 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10,
	}
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(l) }()
	select {
	case err := <-ended:
		return &engine.Error{Kind: engine.Internal, Say: "the witness had to stop", Err: err}
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer cancel()
	if err := srv.Shutdown(grace); err != nil {
		return errors.Join(ctx.Err(), err)
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return errors.Join(ctx.Err(), err)
	}
	return ctx.Err()
}

// readCosigner reads a witness's secret key, which nobody else may read.
func readCosigner(path string) (witness.Cosigner, error) {
	info, err := os.Stat(path)
	if err != nil {
		return witness.Cosigner{}, &engine.Error{Kind: engine.Usage, Say: "the witness's key cannot be read: " + path, Hint: "firstrod witness key makes one", Err: err}
	}
	if info.Mode().Perm()&0o077 != 0 {
		return witness.Cosigner{}, &engine.Error{Kind: engine.Usage, Say: "others may read the witness's key: " + path, Hint: "chmod 600 " + path}
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return witness.Cosigner{}, &engine.Error{Kind: engine.Usage, Say: "the witness's key cannot be read: " + path, Err: err}
	}
	key, err := witness.ParseCosigner(strings.TrimSpace(string(raw)))
	if err != nil {
		return witness.Cosigner{}, &engine.Error{Kind: engine.Usage, Say: "this is no witness's key: " + path, Err: err}
	}
	return key, nil
}

func stateError(path string, err error) error {
	e := &engine.Error{Kind: engine.Usage, Err: err, Say: "the witness cannot start"}
	switch {
	case errors.Is(err, witness.ErrNoState), errors.Is(err, fs.ErrNotExist):
		e.Say, e.Hint = "the witness's state is not there: "+path, "put it back; --new is only for a witness that never cosigned"
	case errors.Is(err, witness.ErrState):
		e.Kind, e.Say, e.Hint = engine.Damaged, "the witness's state cannot be relied on: "+path, "put it back from a copy, or retire this witness and its key"
	case errors.Is(err, witness.ErrInUse):
		e.Kind, e.Say = engine.Busy, "another witness is using "+path
	}
	return e
}
