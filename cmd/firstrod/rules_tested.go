package main

import (
	"context"
	"path/filepath"
	"slices"

	"firstrod/engine"
	"firstrod/engine/rules"
)

// tested is the tests of one pack of a folder.
type tested struct {
	packs
	code string // "base" or that of a local pack
}

// tested lists the packs to be tested: the base and all local ones, or, with a place,
// those that hold there.
func (p packs) tested(w *where) ([]tested, error) {
	all := []tested{{p, basePack}}
	if p.layers.Local == nil {
		return all, nil
	}
	b, err := rules.LoadBook(context.Background(), p.layers, rules.Options{Draft: true})
	if err != nil {
		return nil, err
	}
	set, err := w.set(b)
	if err != nil {
		return nil, err
	}
	for _, l := range b.Packs() {
		in := slices.ContainsFunc(set.Catalogue().Layers, func(o engine.Layer) bool { return o.Code == l.Code })
		if in || w.place == "" {
			all = append(all, tested{p, l.Code})
		}
	}
	return all, nil
}

func (t tested) test(ctx context.Context) (rules.Report, error) {
	if t.code == basePack {
		return rules.Test(ctx, t.layers.Base)
	}
	return rules.TestLocal(ctx, t.layers, t.code)
}

func (t tested) mutate(ctx context.Context, o rules.MutateOptions) (rules.MutationReport, error) {
	if t.code == basePack {
		return rules.Mutate(ctx, t.layers.Base, o)
	}
	return rules.MutateLocal(ctx, t.layers, t.code, o)
}

// dir is the folder of the pack.
func (t tested) dir() string {
	switch {
	case t.single:
		return t.name
	case t.code == basePack:
		return filepath.Join(t.name, "base")
	}
	return filepath.Join(t.name, "local", t.code)
}

// faults is where the faults of a pack that is tested by itself lie.
func (t tested) faults() packs {
	if t.code == basePack {
		return packs{name: t.dir()}
	}
	return t.packs
}

// slip is the file of a slip. Those of a local pack are named from the folder that
// holds all packs.
func (t tested) slip(m rules.Mutation) string {
	if t.code == basePack {
		return filepath.Join(t.dir(), m.File)
	}
	return t.file(m.File)
}
