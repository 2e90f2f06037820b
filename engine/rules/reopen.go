package rules

import (
	"context"
	"io/fs"
)

// Reopen makes the rules of a place and day again from Catalogue.Packs, as a
// ledger has kept them, to judge an old decision as it was judged then. Whether
// these are the same rules shows in Catalogue.Revision, which is a hash of the
// files and of the rule engine. It also reads what was kept before there were
// local packs, where the files of the base lie at the top.
func Reopen(ctx context.Context, packs []byte, place string, day int64) (*Set, error) {
	blob, err := Open(packs)
	if err != nil {
		return nil, err
	}
	layers, layered, err := layersIn(blob)
	if err != nil {
		return nil, err
	}
	opts := Options{}.withDefaults(bookTime)
	if !layered {
		return Load(ctx, blob, opts)
	}
	if layers.Base == nil {
		return nil, refuse("base", 0, "this folder is missing from the stored rules")
	}
	return inTime(ctx, opts.Total, func(ctx context.Context) (*Set, error) {
		sh, err := newShelf(ctx, layers, opts)
		if err != nil {
			return nil, err
		}
		at, first := sh.narrowest(place), int64(0)
		t := sh.tier(at)
		for _, d := range t.days() {
			if d <= day {
				first = d
			}
		}
		return t.edition(ctx, edition{place: at, day: first, row: sh.row(at)})
	})
}

// narrowest is the narrowest place with rules of its own that holds a place.
func (sh *shelf) narrowest(place string) string {
	own := sh.places()
	for _, w := range wider(place) {
		for _, p := range own {
			if p == w {
				return w
			}
		}
	}
	return ""
}

// LayersIn finds the folders base and local in a folder. A folder with neither is
// itself the base; one with local alone gives Layers without a Base.
func LayersIn(fsys fs.FS) (Layers, error) {
	l, layered, err := layersIn(fsys)
	if err == nil && !layered {
		return Layers{Base: fsys}, nil
	}
	return l, err
}

func layersIn(fsys fs.FS) (l Layers, layered bool, err error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return l, false, unreadable(".", err)
	}
	out := &faults{}
	has := map[string]bool{}
	for _, e := range entries {
		if e.Name() != "base" && e.Name() != "local" {
			continue
		}
		if has[e.Name()] = true; !e.IsDir() {
			out.add(e.Name(), 0, "this is not a plain folder")
		}
	}
	// An area of a single pack may be called base or local: then its limits lie
	// beside it.
	if len(has) == 0 || single(entries) {
		return l, false, nil
	}
	if err := out.err(); err != nil {
		return l, false, err
	}
	for name, to := range map[string]*fs.FS{"base": &l.Base, "local": &l.Local} {
		if !has[name] {
			continue
		}
		if *to, err = fs.Sub(fsys, name); err != nil {
			return l, false, unreadable(name, err)
		}
	}
	return l, true, nil
}

func single(entries []fs.DirEntry) bool {
	for _, e := range entries {
		if e.Name() == paramsYAML {
			return true
		}
	}
	return false
}
