package ledger

import "slices"

// holds says whether a release may stand on a status.
func holds(status string) bool {
	return status == statusPass || status == statusExempt || status == statusWaived
}

// gated lists the findings that a release needs: one for each check of the pack
// that stands in front of it, or one for each item of the check's list. A list
// with no items needs none; that there must be items is a check of its own.
func gated(p *Pack, b *bore) []string {
	var keys []string
	for _, c := range p.Checks {
		switch {
		case c.Gate != "release":
		case c.Each == "":
			keys = append(keys, c.ID)
		default:
			for _, item := range b.lists[listOf(c.Each)] {
				keys = append(keys, c.ID+"@"+item)
			}
		}
	}
	return keys
}

// release proves again, from the records alone, that the bore could be released.
func (f *fold) release(seq int64, r *Record, b *bore) {
	if r.Kind != KindSign {
		f.v.fault(seq, FaultRelease, "record %d releases a bore without being a signature", seq)
	}
	if b.line.State == StateClosed {
		f.v.fault(seq, FaultState, "record %d releases bore %q, which was closed", seq, r.Bore)
	}
	if !r.Release.Until.After(r.At) {
		f.v.fault(seq, FaultRelease, "record %d releases until a time that had passed", seq)
	}
	f.blob(seq, r.Release.Input)
	f.signers(seq, r, b)

	p := f.packs[r.Rules]
	if inForce := f.rulesAt(b.place); p == nil || r.Rules != inForce {
		f.v.fault(seq, FaultRules, "record %d releases under rules %q, in force were %q", seq, r.Rules, inForce)
	}
	if p != nil {
		f.proved(seq, r, p, b)
	}
}

// proved checks that every finding that had to hold was there and held.
func (f *fold) proved(seq int64, r *Record, p *Pack, b *bore) {
	for _, c := range p.Checks {
		if c.Gate != "release" || c.Each == "" {
			continue
		}
		if _, ok := b.lists[listOf(c.Each)]; !ok {
			f.v.fault(seq, FaultMissing, "record %d releases although nobody said for which %s to check %s", seq, c.Each, c.ID)
		}
	}
	keys := gated(p, b)
	var waived, missing []string
	for _, k := range keys {
		status, ok := b.findings[k]
		switch {
		case !ok:
			missing = append(missing, k)
		case !holds(status):
			f.v.fault(seq, FaultRelease, "record %d releases although %s is %s", seq, k, status)
		case status == statusWaived:
			waived = append(waived, k)
		}
	}
	if len(missing) > 0 {
		f.v.fault(seq, FaultMissing, "record %d releases without a finding for %s", seq, say(missing))
	}
	if len(keys) == 0 {
		f.v.fault(seq, FaultMissing, "record %d releases under rules that check nothing", seq)
	}
	if r.Release.Checks != len(keys) {
		f.v.fault(seq, FaultRelease, "record %d says that %d findings hold, %d had to", seq, r.Release.Checks, len(keys))
	}
	if !sameSet(r.Release.Waived, waived) {
		f.v.fault(seq, FaultRelease, "record %d names as waived: %s; waived were: %s", seq, say(r.Release.Waived), say(waived))
	}
}

func sameSet(a, b []string) bool {
	return slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b)))
}

// signers checks that the people named signed what is released, and are two:
// different people in different roles.
func (f *fold) signers(seq int64, r *Record, b *bore) {
	list := r.Release.Signers
	if r.By == nil || r.Sign == nil || len(list) == 0 || list[len(list)-1] != *r.By {
		f.v.fault(seq, FaultSigners, "record %d releases, and whoever signed it is not the last of the signers", seq)
	}
	people, roles := map[string]bool{}, map[string]bool{}
	for _, a := range list {
		people[a.ID], roles[a.Role] = true, true
		if !b.signed(a, r.Release.Input) {
			f.v.fault(seq, FaultSign, "record %d names %s as a signer, who did not sign what is released after the last change", seq, a.ID)
		}
	}
	if len(people) < 2 || len(roles) < 2 {
		f.v.fault(seq, FaultSigners, "record %d releases with %d people in %d roles; it takes two of both", seq, len(people), len(roles))
	}
}

// signed says whether there is a valid signature of a over input.
func (b *bore) signed(a Actor, input string) bool {
	return slices.ContainsFunc(b.signs, func(s signature) bool { return s.by == a && s.input == input })
}
