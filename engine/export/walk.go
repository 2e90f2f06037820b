package export

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// pageSize keeps each read transaction of a store short.
const pageSize = 1000

// Progress hears how many records are written, now and then.
type Progress func(done int64)

// walk puts a whole ledger into a sink: the dictionary and the checkpoint, then
// every record up to the size that the checkpoint covers.
func walk(r ledger.Reader, to sink, progress Progress) error {
	for _, d := range Dictionary() {
		if err := to.put("dictionary", d); err != nil {
			return err
		}
	}
	note, err := r.Checkpoint()
	if err != nil {
		return err
	}
	c, err := ledger.NoteCheckpoint(note)
	if err != nil {
		return fmt.Errorf("the checkpoint of the ledger: %w", err)
	}
	if err := to.put("ledger", LedgerRow{c.Origin, c.Size, c.Root.String(), string(note)}); err != nil {
		return err
	}
	p := puller{r: r, trails: map[string]ledger.Trail{}}
	for p.next < c.Size {
		rows, err := p.page(c.Size)
		if err != nil {
			return err
		}
		for _, row := range rows {
			if err := to.put(row.table, row.row); err != nil {
				return err
			}
		}
		if progress != nil {
			progress(p.next)
		}
	}
	return nil
}

// puller turns records into rows, page after page.
type puller struct {
	r      ledger.Reader
	next   int64
	trails map[string]ledger.Trail
}

// made is a row and the table it belongs to.
type made struct {
	table string
	row   any
}

// page gives the rows of the next records below size.
func (p *puller) page(size int64) ([]made, error) {
	raw, err := p.r.Records(p.next, int(min(pageSize, size-p.next)))
	if err != nil {
		return nil, err
	}
	if len(raw) == 0 {
		return nil, fmt.Errorf("record %d is not there", p.next)
	}
	var out []made
	for _, row := range raw {
		rec, err := ledger.Decode(row.Data)
		if err != nil || row.Seq != p.next {
			return nil, fmt.Errorf("record %d cannot be read: %w", p.next, err)
		}
		t := p.trails[rec.Bore].After(rec)
		if rec.Bore != "" {
			p.trails[rec.Bore] = t
		}
		out = append(out, rowsOf(row, rec, t.Place)...)
		p.next++
	}
	return out, nil
}

// rowsOf gives everything that one record becomes.
func rowsOf(raw ledger.Row, r ledger.Record, place string) []made {
	leaf := tlog.RecordHash(raw.Data)
	row := RecordRow{
		Record: raw.Seq, Leaf: hex.EncodeToString(leaf[:]), Kind: string(r.Kind), Logged: r.Logged, At: r.At,
		Bore: r.Bore, Version: r.Ver, Channel: r.From, Language: r.Lang, Typed: r.Typed, Why: r.Why, Event: r.Event,
		Check: r.Check, State: r.State, Void: r.Void, Rules: r.Rules, Exact: string(raw.Data),
	}
	if r.Bore != "" {
		row.Jurisdiction = place
	}
	if r.By != nil {
		row.Person, row.Role = r.By.ID, r.By.Role
	}
	out := []made{{"records", row}}
	for i, f := range r.Facts {
		ask, subject, _ := strings.Cut(f.Key, "@")
		out = append(out, made{"facts", FactRow{raw.Seq, int64(i), r.Bore, ask, subject, f.Kind, f.Typed, f.Value, f.Unit, number(f), array(f.Items), f.From}})
	}
	out = append(out, findingRows(raw.Seq, r)...)
	if rel := r.Release; rel != nil {
		out = append(out, made{"releases", ReleaseRow{raw.Seq, r.Bore, rel.Until, int64(rel.Checks), rel.Input, array(rel.Waived), array(rel.Loose)}})
		for i, a := range rel.Signers {
			out = append(out, made{"signers", SignerRow{raw.Seq, int64(i), r.Bore, a.ID, a.Role}})
		}
	}
	for i, f := range r.Shown {
		out = append(out, made{"files", FileRow{raw.Seq, int64(i), r.Bore, f.Sum, f.Size, f.Type, f.Name}})
	}
	return out
}

func findingRows(seq int64, r ledger.Record) (out []made) {
	add := func(status string, keys []string) {
		for _, k := range keys {
			check, subject, _ := strings.Cut(k, "@")
			out = append(out, made{"findings", FindingRow{seq, r.Bore, check, subject, status}})
		}
	}
	for _, status := range slices.Sorted(maps.Keys(r.Findings)) {
		add(status, r.Findings[status])
	}
	add(ledger.StatusGone, r.Gone)
	return out
}

// number is a fact's exact value as a decimal; empty for what is none.
func number(f ledger.Fact) string {
	x, ok := new(big.Rat).SetString(f.Value)
	switch {
	case !ok || f.Unit == "" && len(f.Items) == 0 && f.Kind != "count":
		return ""
	case x.IsInt():
		return x.Num().String()
	}
	return x.FloatString(6)
}

func array(items []string) string {
	if len(items) == 0 {
		return ""
	}
	// A list of texts cannot fail to encode.
	raw, _ := json.Marshal(items)
	return string(raw)
}
