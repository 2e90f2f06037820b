package desk

import (
	"context"
	"time"
)

// stale is a promise to sign anew that was not kept.
type stale struct {
	renewBy time.Time
	alert   Alert
}

// watchPromise tells once where the promise of the rules in force was not kept, and
// that it is over once there are newer ones, or these were signed anew. It changes
// nothing else: a crew is not left without rules.
func (d *Desk) watchPromise() {
	live := d.Live()
	if live == nil {
		return
	}
	if t := d.stale; t != nil {
		if t.renewBy.Equal(live.RenewBy) && t.alert.Publication.Same(live.Publication) {
			return
		}
		d.stale = nil
		d.cfg.Alert(Alert{Kind: Mended, Say: "Over: " + t.alert.Say, Publication: t.alert.Publication, Over: &t.alert})
	}
	if !overdue(live.RenewBy, d.cfg.Clock.Now()) {
		return
	}
	a := Alert{Kind: Stale, Publication: live.Publication}
	a.Say, a.Hint = brokenPromise(live.Publication, live.RenewBy)
	d.stale = &stale{live.RenewBy, a}
	d.cfg.Alert(a)
}

// renew takes a later promise for the rules in force. An earlier one, or none, is
// an older signing played back, and changes nothing.
func (d *Desk) renew(ctx context.Context, c Candidate) error {
	live := *d.Live()
	if !c.RenewBy.After(live.RenewBy) {
		return nil
	}
	if err := d.cfg.Source.Keep(ctx, c); err != nil {
		return err
	}
	live.RenewBy = c.RenewBy
	d.live.Store(&live)
	return nil
}
