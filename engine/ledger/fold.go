package ledger

import (
	"maps"
	"slices"
	"strings"
	"time"
)

// fold follows what the records mean: who is known, which rules are in force,
// where each bore stands. It keeps no part of a record: the texts that it keeps
// are its own, so that a large ledger does not stay in memory.
type fold struct {
	v       *verifier
	blobs   BlobSource      // nil if the reader has none
	private PrivateSource   // nil if the reader has none
	shelf   EvidenceSource  // nil if the reader has none
	given   []given         // files of evidence, each where it was first named
	sums    map[string]bool // of those
	gone    map[string]bool // of those that a record removes
	part    map[string]bool // only some records are here: revisions whose packs were looked for; nil for a whole ledger
	want    *wanted
	names   map[string]string // texts that come again and again
	people  map[string]person
	packs   map[string]*Pack
	inForce map[string]string // jurisdiction -> rule revision
	bores   map[string]*bore
	last    *bore // of the record before
	logged  time.Time
	seen    []seen           // findings of one record
	terms   *termSums        // nil if the reader has no index of terms
	erased  map[string]int64 // person -> record that says that the name was erased
	holds   Holds
}

// seen is a finding that a record has.
type seen struct{ key, status string }

type person struct {
	roles  []string
	commit string
	seq    int64
}

func newFold(v *verifier) *fold {
	f := &fold{
		v: v, want: newWanted(), names: map[string]string{}, people: map[string]person{},
		packs: map[string]*Pack{}, inForce: map[string]string{}, bores: map[string]*bore{},
		erased: map[string]int64{},
	}
	if b, ok := v.r.(BlobSource); ok {
		f.blobs = b
		v.sum.Checked = append(v.sum.Checked, "blobs")
	}
	if s, ok := v.r.(EvidenceSource); ok {
		f.shelf, f.sums, f.gone = s, map[string]bool{}, map[string]bool{}
		v.sum.Checked = append(v.sum.Checked, "evidence")
	}
	if p, ok := v.r.(PrivateSource); ok {
		f.private = p
		v.sum.Checked = append(v.sum.Checked, "private")
	}
	if _, ok := v.r.(IndexSource); ok {
		f.terms = newTermSums(v.r)
	}
	return f
}

// record takes the next record. seq is where it lies, whatever it says itself.
func (f *fold) record(seq int64, r *Record) {
	if r.Logged.Before(f.logged) {
		f.v.fault(seq, FaultTime, "record %d was logged before the record ahead of it", seq)
	}
	f.logged = r.Logged
	if first, ok := f.want.key(r.Key, seq); ok {
		f.v.fault(seq, FaultKey, "record %d has the key of record %d", seq, first)
	}
	f.start(seq, r)
	f.introduce(seq, r)
	f.known(seq, r)
	f.years(seq, r)
	f.give(seq, r)
	if r.Bore != "" {
		f.bore(seq, r)
		return
	}
	f.terms.expect(seq, *r, Trail{})
}

// start looks after the record that starts a log.
func (f *fold) start(seq int64, r *Record) {
	starts := r.Kind == KindStart && r.Log != nil
	switch {
	case seq == 0 && !starts:
		f.v.fault(seq, FaultStart, "the first record does not start a log")
	case seq != 0 && (r.Kind == KindStart || r.Log != nil):
		f.v.fault(seq, FaultStart, "record %d starts the log again", seq)
	case seq == 0:
		f.v.useKey(seq, r.Log.Key)
	}
	if starts && seq == 0 && f.v.keys != nil && r.Log.Origin != f.v.keys.Origin() {
		f.v.fault(seq, FaultLogKey, "the log calls itself %q, its key says %q", r.Log.Origin, f.v.keys.Origin())
	}
}

// introduce notes new people and rules.
func (f *fold) introduce(seq int64, r *Record) {
	if (r.Kind == KindPerson) != (r.Person != nil) || (r.Kind == KindRules) != (r.Pack != nil) {
		f.v.fault(seq, FaultUnknown, "record %d introduces a person or rules and is of kind %q", seq, r.Kind)
	}
	if p := r.Person; p != nil {
		if at := f.erased[p.ID]; at > 0 {
			f.v.fault(seq, FaultErased, "record %d introduces %s again, whose name record %d has erased", seq, p.ID, at)
		}
		f.people[p.ID] = person{roles: p.Roles, commit: p.Commit, seq: seq}
		f.want.people = append(f.want.people, seq)
	}
	if r.Pack != nil {
		f.packs[r.Rules] = r.Pack
		f.inForce[r.Pack.Place] = r.Rules
		f.want.rules = append(f.want.rules, seq)
		if f.part == nil {
			f.blob(seq, r.Pack.Blob)
		}
	}
}

// trail is the same trail, in texts of its own.
func (f *fold) trail(t Trail) Trail {
	t.Place, t.By = f.own(t.Place), f.own(t.By)
	return t
}

// own is the same text, kept by itself, once.
func (f *fold) own(s string) string {
	if have, ok := f.names[s]; ok {
		return have
	}
	s = strings.Clone(s)
	f.names[s] = s
	return s
}

// known checks that everything the record names was there before.
func (f *fold) known(seq int64, r *Record) {
	if r.By != nil {
		p, ok := f.people[r.By.ID]
		switch {
		case !ok:
			f.v.fault(seq, FaultUnknown, "record %d is by %q, who was not introduced", seq, r.By.ID)
		// A refusal may be just because of the role that was claimed.
		case r.Kind != KindRefused && r.By.Role != "" && !slices.Contains(p.roles, r.By.Role):
			f.v.fault(seq, FaultRole, "record %d: %s acts as %q without having that role", seq, r.By.ID, r.By.Role)
		}
	}
	if r.Rules != "" && f.packs[r.Rules] == nil {
		f.v.fault(seq, FaultUnknown, "record %d was judged by rules %q, which were never put in force", seq, r.Rules)
	}
	if p := f.packs[r.Rules]; p != nil && r.Bore != "" && f.part != nil && !f.part[r.Rules] {
		f.part[r.Rules] = true
		f.blob(seq, p.Blob)
	}
	for _, n := range r.Refers {
		if n < 0 || n >= seq {
			f.v.fault(seq, FaultUnknown, "record %d is about record %d, which does not come before it", seq, n)
		}
	}
}

// blob checks that what is named by hash can be had, and is it.
func (f *fold) blob(seq int64, sum string) {
	if f.blobs == nil {
		return
	}
	b, err := f.blobs.Blob(sum)
	switch {
	case err != nil:
		f.v.fault(seq, FaultUnreadable, "the bytes that record %d names cannot be read: %v", seq, err)
	case b == nil:
		f.v.fault(seq, FaultBlob, "the bytes that record %d names by hash are not there", seq)
	case BlobSum(b) != sum:
		f.v.fault(seq, FaultBlob, "the bytes stored for record %d are not those it names", seq)
	}
}

// privates compares the values kept beside the log with their commitments.
func (f *fold) privates() {
	if f.private == nil {
		return
	}
	for _, id := range slices.Sorted(maps.Keys(f.people)) {
		p := f.people[id]
		val, ok, err := f.private.Value(id)
		switch {
		case err != nil:
			f.v.fault(p.seq, FaultUnreadable, "the name of %s cannot be read: %v", id, err)
		case !ok && f.erased[id] == 0:
			f.v.fault(p.seq, FaultErased, "the name of %s is not there, and no record says that it was erased", id)
		case ok && f.erased[id] > 0:
			f.v.fault(f.erased[id], FaultErased, "the name of %s is still kept, and record %d says that it was erased", id, f.erased[id])
		case ok && Commitment(val.Salt, val.Value) != p.commit:
			f.v.fault(p.seq, FaultPrivate, "the name kept for %s is not the one that record %d commits to", id, p.seq)
		}
	}
}

// rulesAt is the revision in force in a jurisdiction: that of the narrowest place
// with rules of its own.
func (f *fold) rulesAt(jurisdiction string) string {
	for place := jurisdiction; ; place = Wider(place) {
		if rev, ok := f.inForce[place]; ok || place == "" {
			return rev
		}
	}
}

// Wider is the jurisdiction around one: "US-VA" around "US-VA/alder", "US"
// around that, and "" around all.
func Wider(jurisdiction string) string {
	if i := strings.LastIndexAny(jurisdiction, "/-"); i > 0 {
		if j := strings.LastIndexByte(jurisdiction, '/'); j > 0 {
			i = j
		}
		return jurisdiction[:i]
	}
	return ""
}

// splitKey takes a finding's key apart: check and subject.
func splitKey(key string) (check, subject string) {
	check, subject, _ = strings.Cut(key, "@")
	return check, subject
}
