package main

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/mod/sumdb/note"

	"firstrod/engine"
	"firstrod/engine/desk"
)

func (a *app) rulesKey() *cobra.Command {
	name, out := "", ""
	cmd := &cobra.Command{
		Use:   "key",
		Short: "Make a key pair to sign rules with",
		Long: `key writes a private key to FILE, which only its owner may read, and the public
one to FILE.pub. It never writes over a file. Keep the private key where rules are
published; give the public line to everybody who takes rules from you.`,
		RunE: func(*cobra.Command, []string) error {
			if name == "" || out == "" {
				return usage(errors.New("a key needs --name NAME and -o FILE"))
			}
			return a.newKey(name, out)
		},
	}
	cmd.Flags().StringVar(&name, "name", "", "whose key it is, such as rules.yard.example; no spaces")
	cmd.Flags().StringVarP(&out, "out", "o", "", "file for the private key; the public one goes to FILE.pub")
	return cmd
}

func (a *app) newKey(name, out string) error {
	secret, public, err := desk.NewKey(rand.Reader, name)
	if err != nil {
		return err
	}
	if err := writeFresh(out+".pub", public, 0o644); err != nil {
		return err
	}
	if err := writeFresh(out, secret, 0o600); err != nil {
		return errors.Join(err, os.Remove(out+".pub"))
	}
	a.printf("The private key is in %s. The public one, for rules_key and --key:\n%s\n", out, public)
	return nil
}

// writeFresh writes a line to a file that is not there yet.
func writeFresh(path, line string, mode fs.FileMode) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if errors.Is(err, fs.ErrExist) {
		return &engine.Error{Kind: engine.Usage, Say: path + " is there already, and a key is never written over", Err: err}
	}
	if err != nil {
		return unwritten(path, err)
	}
	_, err = f.WriteString(line + "\n")
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return unwritten(path, err)
	}
	return nil
}

func (a *app) rulesExport() *cobra.Command {
	key, out, renewBy := "", "", ""
	cmd := &cobra.Command{
		Use:   "export DIR",
		Short: "Write the published rules of a folder to one signed file",
		Long: `export writes what was published in DIR to FILE, all at once, signed with the
private key in KEYFILE. Carry the file to another site, or put it on a web server
that other sites name in rules_url.

With --renew-by DAY the file promises, under the signature, that a newer one will be
there by then: other rules, or the same ones exported again with a later day. A site
whose server still gives the old file after that day says so to its safety managers;
without a promise nobody can tell a server that holds newer rules back from one that
has none. The rules stay in force either way. Once you promise, promise every time.`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if key == "" || out == "" {
				return usage(errors.New("an export needs -o FILE and --key KEYFILE"))
			}
			return a.exportRules(args[0], key, out, renewBy)
		},
	}
	cmd.Flags().StringVar(&key, "key", "", "file with the private key")
	cmd.Flags().StringVarP(&out, "out", "o", "", "file to write")
	cmd.Flags().StringVar(&renewBy, "renew-by", "", "promise to sign anew by this day, such as 2027-01-31 (default: no promise)")
	return cmd
}

func (a *app) exportRules(dir, key, out, renewBy string) error {
	signer, err := privateKey(key)
	if err != nil {
		return err
	}
	c, err := desk.Read(dir)
	if err != nil {
		return a.refusedIn(dir, err)
	}
	if renewBy != "" {
		if c.RenewBy, err = desk.Promise(renewBy, time.Now()); err != nil {
			return err
		}
	}
	bundle, err := desk.Seal(c, signer)
	if err != nil {
		return err
	}
	if err := desk.Replace(out, bundle); err != nil {
		return err
	}
	a.printf("Publication %d is in %s, signed by %s.\n", c.Publication.Serial, out, signer.Name())
	a.sayPromise(c)
	return nil
}

// sayPromise says what a bundle promises.
func (a *app) sayPromise(c desk.Candidate) {
	if !c.RenewBy.IsZero() {
		a.printf("It promises to be signed anew by %s.\n", c.RenewBy.Format(time.DateOnly))
	}
}

// privateKey reads a key that nobody else may read.
func privateKey(path string) (note.Signer, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "there is no key file " + path, Hint: "firstrod rules key makes one", Err: err}
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "the key file cannot be read: " + path, Err: err}
	}
	signer, err := desk.Signer(string(text))
	if err != nil {
		return nil, wrongKey(path, err)
	}
	if open := info.Mode().Perm() & 0o077; open != 0 {
		return nil, &engine.Error{Kind: engine.Usage, Say: "others may read or write the private key in " + path, Hint: "chmod 600 " + path}
	}
	return signer, nil
}

// wrongKey says of a key where it stands.
func wrongKey(where string, err error) error {
	e, ok := errors.AsType[*engine.Error](err)
	if !ok {
		return err
	}
	return &engine.Error{Kind: e.Kind, Say: where + ": " + e.Say, Hint: e.Hint, Err: e.Err}
}

func (a *app) rulesImport() *cobra.Command {
	key, to := "", ""
	cmd := &cobra.Command{
		Use:   "import FILE",
		Short: "Take the rules of a signed file into a folder",
		Long: `import opens a file that export has made, checks that the key has signed every
byte of it, that it is newer than what the folder has had, and that its rules load
and their tests hold; says what it changes; and puts it into DIR as the publication
that it is. A service that watches DIR uses it from then on.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if to == "" {
				return usage(errors.New("an import needs --to DIR"))
			}
			return a.importRules(cmd.Context(), args[0], cmp.Or(key, a.config.RulesKey), to)
		},
	}
	cmd.Flags().StringVar(&key, "key", "", "public key that must have signed it, or a file with it (default: rules_key of the settings)")
	cmd.Flags().StringVar(&to, "to", "", "folder for the rules")
	return cmd
}

func (a *app) importRules(ctx context.Context, file, key, to string) error {
	verifier, err := publicKey(key)
	if err != nil {
		return err
	}
	c, err := desk.Open(file, verifier)
	if err != nil {
		return err
	}
	if err := a.changes(ctx, to, c, c.Publication.By); err != nil {
		return err
	}
	fresh, err := desk.Import(to, c)
	if err != nil {
		return err
	}
	if !fresh {
		a.printf("Nothing to do: %s has publication %d already.\n", to, c.Publication.Serial)
		return nil
	}
	a.printf("Signed by %s. ", verifier.Name())
	a.sayPublished(c.Publication)
	a.sayPromise(c)
	return nil
}

// publicKey is the key itself, or what is in the file that is named.
func publicKey(key string) (note.Verifier, error) {
	if key == "" {
		return nil, usage(errors.New("name the key that must have signed the rules: --key KEY"))
	}
	if strings.Count(key, "+") >= 2 {
		return desk.Verifier(key)
	}
	text, err := os.ReadFile(key)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: key + " is neither a public key nor a file with one", Err: err}
	}
	v, err := desk.Verifier(string(text))
	if err != nil {
		return nil, wrongKey(key, err)
	}
	return v, nil
}
