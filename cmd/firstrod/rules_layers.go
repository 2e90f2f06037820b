package main

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"firstrod/engine"
	"firstrod/engine/desk"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// packs is what a verb about rules looks at: the base and the local packs.
type packs struct {
	name   string // as it was named; "" for the rules inside this program
	layers rules.Layers
	single bool // the folder is itself the base
}

// inside is the rules inside this program.
func inside() (rules.Layers, error) {
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		return rules.Layers{}, err
	}
	local, err := fs.Sub(policies.Local, "local")
	return rules.Layers{Base: base, Local: local}, err
}

// packsNamed opens a folder: one that is a base pack itself, or one that holds base
// and local, or local alone, which then lies over the base inside this program.
func packsNamed(name string) (packs, error) {
	own, err := inside()
	if err != nil || name == "" || name == basePack {
		return packs{layers: own}, err
	}
	dir, err := packNamed(name)
	if err != nil {
		return packs{}, err
	}
	if _, err := fs.Stat(dir, "overlay.yaml"); err == nil {
		return packs{}, &engine.Error{Kind: engine.Usage, Say: name + " is a local pack, which lies over a base",
			Hint: "name the folder that holds base and local, or local alone"}
	}
	p := packs{name: name}
	if p.layers, err = rules.LayersIn(dir); err != nil {
		return packs{}, err
	}
	_, err = fs.Stat(dir, "params.yaml")
	entries, _ := fs.ReadDir(dir, ".")
	p.single = p.layers.Local == nil && (err == nil || !holds(entries, "base"))
	if p.layers.Base == nil {
		p.layers.Base = own.Base
	}
	return p, nil
}

func holds(entries []fs.DirEntry, name string) bool {
	for _, e := range entries {
		if e.Name() == name {
			return true
		}
	}
	return false
}

// layersOf is the layers that a verb with an optional DIR is about.
func (a *app) layersOf(args []string) (rules.Layers, error) {
	p, err := packsNamed(a.packOf(args))
	return p.layers, err
}

// located is the place of a fault with the folder in front.
func (p packs) located(f rules.Fault) string {
	at := strings.TrimPrefix(f.Place(), p.cut())
	if p.name == "" || f.File == "" {
		return at
	}
	return filepath.Join(p.name, at)
}

// cut is what stands in front of the files of a single pack and is not on disk.
func (p packs) cut() string {
	if p.single {
		return "base/"
	}
	return ""
}

// file is a file of a pack with the folder in front.
func (p packs) file(name string) string { return p.located(rules.Fault{File: name}) }

// book loads the rules of all places. Those of a folder must have every check of
// the base that the program knows.
func (p packs) book(ctx context.Context) (*rules.Book, error) {
	own, err := inside()
	if err != nil {
		return nil, err
	}
	pinned, err := rules.IDs(own.Base)
	if err != nil {
		return nil, err
	}
	return rules.LoadBook(ctx, p.layers, rules.Options{Pinned: pinned})
}

// bookInUse loads the rules that --policies names as they lie there, those that came
// last from the address of the settings, or those inside this program.
func (a *app) bookInUse(ctx context.Context) (*rules.Book, error) {
	if a.config.RulesURL != "" {
		return a.bookAgainst(ctx, "")
	}
	p, err := packsNamed(a.config.Policies)
	if err != nil {
		return nil, err
	}
	if p.name != "" {
		a.noteUnpublished(p.name)
	}
	return p.book(ctx)
}

// noteUnpublished says so where files are shown that judge no bore.
func (a *app) noteUnpublished(dir string) {
	if c, err := desk.Read(dir); err == nil && !c.Published {
		fmt.Fprintf(a.err, "note: these rules are not in force: %s\n", c.Unpublished)
	}
}

// setOf takes of them those of a place and day.
func (a *app) setOf(ctx context.Context, w *where) (*rules.Set, error) {
	b, err := a.bookInUse(ctx)
	if err != nil {
		return nil, err
	}
	return w.set(b)
}

// draftOf loads a folder to look at it, and takes the rules of a place and day; it may
// be a draft, or lack checks. "base" is the base inside this program alone.
func draftOf(ctx context.Context, name string, w *where) (*rules.Set, error) {
	b, err := draftBook(ctx, name)
	if err != nil {
		return nil, err
	}
	at := *w
	if name == basePack {
		at.notes = nil // that it has no local packs is what was asked for
	}
	set, err := at.set(b)
	w.noted = w.noted || at.noted
	return set, err
}

// limitDirs lists the folders under DIR that have a params.yaml: DIR itself, or the
// packs in it.
func limitDirs(dir string) []string {
	var all []string
	for _, pattern := range []string{"", "base", "local/*"} {
		found, _ := filepath.Glob(filepath.Join(dir, pattern, "params.yaml"))
		for _, f := range found {
			all = append(all, filepath.Dir(f))
		}
		if len(found) > 0 && pattern == "" {
			break
		}
	}
	return all
}

// writeLimits makes params.json anew in a folder.
func writeLimits(dir string) error {
	source, err := os.ReadFile(filepath.Join(dir, "params.yaml"))
	if err != nil {
		return &engine.Error{Kind: engine.Usage, Say: "there is no params.yaml in " + dir, Err: err}
	}
	out, err := rules.ParamsJSON(source)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, "params.json"), out, 0o644); err != nil {
		return unwritten(filepath.Join(dir, "params.json"), err)
	}
	return nil
}
