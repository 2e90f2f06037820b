package rules

import (
	"context"
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strings"

	"firstrod/engine"
)

// Where the layers lie in a blob, and how faults name their files.
const (
	baseDir  = "base/"
	localDir = "local/"
)

// Bounds on local packs and on the days on which their rules change.
const (
	maxPacks = 200
	maxEnds  = 8
)

// packCode is how local packs are called: va, va-alder.
var packCode = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)

// shelf is the base and the local packs, each laid over the next wider one.
type shelf struct {
	base  *tier
	local []*tier // from wide to narrow
}

func newShelf(ctx context.Context, layers Layers, opts Options) (*shelf, error) {
	if layers.Base == nil {
		return nil, refuse("base", 0, "there is no base; local packs lie over one")
	}
	base, err := newTier(ctx, tierOf{fsys: layers.Base, dir: baseDir, code: baseCode}, opts)
	if err != nil {
		return nil, err
	}
	sh := &shelf{base: base}
	if layers.Local == nil {
		return sh, nil
	}
	codes, err := packCodes(layers.Local)
	if err != nil {
		return nil, err
	}
	order, err := sh.order(layers.Local, codes)
	if err != nil {
		return nil, err
	}
	for _, from := range order {
		from.over = sh.tier(from.holds)
		t, err := newTier(ctx, from.tierOf, opts)
		if err != nil {
			return nil, err
		}
		sh.local = append(sh.local, t)
	}
	return sh, sh.ends()
}

// packCodes lists the folders of local packs and refuses what is none.
func packCodes(local fs.FS) ([]string, error) {
	entries, err := fs.ReadDir(local, ".")
	if err != nil {
		return nil, unreadable("local", err)
	}
	out := &faults{}
	var codes []string
	for _, e := range entries {
		at := localDir + e.Name()
		switch {
		case e.Type()&fs.ModeSymlink != 0:
			out.add(at, 0, "this is a link to another place; a local pack is a plain folder")
		case !e.IsDir():
			out.add(at, 0, "this file does not belong here; each local pack is a folder, such as local/va")
		case !packCode.MatchString(e.Name()) || slices.Contains([]string{baseCode, oneCallCode}, e.Name()):
			out.add(at, 0, "%q is not a name for a local pack; use small letters, digits and -, as in va-alder", e.Name())
		default:
			codes = append(codes, e.Name())
		}
	}
	switch {
	case len(out.list) > 0:
	case len(codes) == 0:
		out.add("local", 0, "there is no local pack in this folder; take the folder away if there should be none")
	case len(codes) > maxPacks:
		out.add("local", 0, "there are more than %d local packs", maxPacks)
	}
	return codes, out.err()
}

// waiting is a local pack of which only the place is known.
type waiting struct {
	tierOf
	holds string
}

// order reads where each pack holds, and puts wide places first. Two packs for
// one place would leave open which of them is right.
func (sh *shelf) order(local fs.FS, codes []string) ([]waiting, error) {
	out := &faults{}
	claimed := map[string]string{}
	var all []waiting
	for _, code := range codes {
		sub, err := fs.Sub(local, code)
		if err != nil {
			return nil, unreadable(localDir+code, err)
		}
		w := waiting{tierOf: tierOf{fsys: sub, dir: localDir + code + "/", code: code, local: true}}
		p, err := readPack(sub, w.dir, true)
		if err != nil {
			return nil, err
		}
		w.pack = p
		o := readOverlay(w.dir+overlayYAML, p.overlay, out)
		if w.holds = o.holds; claimed[o.holds] != "" {
			out.add(o.file, o.line, "local/%s says that it holds in %s too; one place has one pack", claimed[o.holds], o.holds)
		}
		claimed[o.holds] = code
		all = append(all, w)
	}
	slices.SortFunc(all, func(a, b waiting) int {
		if n := len(wider(a.holds)) - len(wider(b.holds)); n != 0 {
			return n
		}
		return strings.Compare(a.code, b.code)
	})
	return all, out.err()
}

// ends bounds how many days there are on which rules change by themselves.
func (sh *shelf) ends() error {
	ends := map[int64]bool{}
	out := &faults{}
	for _, t := range sh.local {
		for _, r := range t.overlay.relaxed() {
			if ends[r.until] = true; len(ends) == maxEnds+1 {
				out.list = append(out.list, fault{file: t.overlay.file, line: r.line, say: "the local packs have more than 8 different end dates together",
					hint: "Let some of them end on the same day."})
			}
		}
	}
	return out.err()
}

// tier is the narrowest pack that holds in a place.
func (sh *shelf) tier(place string) *tier {
	for _, w := range wider(place) {
		for _, t := range sh.local {
			if t.overlay.holds == w {
				return t
			}
		}
	}
	return sh.base
}

// row is what the one-call table says of the state that a place is in.
func (sh *shelf) row(place string) *oneCall {
	if sh.base.calls == nil {
		return nil
	}
	for _, w := range wider(place) {
		if row, ok := sh.base.calls.rows[w]; ok {
			return &row
		}
	}
	return nil
}

// places lists every place with rules of its own, "" for all others.
func (sh *shelf) places() []string {
	all := map[string]bool{"": true}
	if sh.base.calls != nil {
		for state := range sh.base.calls.rows {
			all[state] = true
		}
	}
	for _, t := range sh.local {
		all[t.overlay.holds] = true
	}
	return slices.Sorted(maps.Keys(all))
}

// localTier is a draft of a local pack and all that is wider.
func localTier(ctx context.Context, layers Layers, code string) (*tier, error) {
	opts := Options{Draft: true}.withDefaults(bookTime)
	return inTime(ctx, opts.Total, func(ctx context.Context) (*tier, error) {
		sh, err := newShelf(ctx, layers, opts)
		if err != nil {
			return nil, err
		}
		for _, t := range sh.local {
			if t.code == code {
				_, err := t.edition(ctx, edition{place: t.overlay.holds, row: sh.row(t.overlay.holds)})
				return t, err
			}
		}
		return nil, &engine.Error{Kind: engine.NotFound, Say: "there is no local pack " + code}
	})
}
