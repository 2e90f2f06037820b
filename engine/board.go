package engine

import (
	"context"
	"slices"
	"time"

	"firstrod/engine/ledger"
)

// Verdict is how a bore stands, in one word for machines.
type Verdict string

// The verdicts.
const (
	Unfinished Verdict = "unfinished" // values are missing, nothing fails
	Stopped    Verdict = "blocked"    // a rule does not hold
	Signable   Verdict = "signable"   // everything holds; people sign
	Ready      Verdict = "ready"      // ready to drill, right now
	OnHold     Verdict = "held"       // released no more
	Finished   Verdict = "closed"
)

// Verdicts lists them.
func Verdicts() []Verdict { return []Verdict{Unfinished, Stopped, Signable, Ready, OnHold, Finished} }

// Board is everything there is to see about a bore at one moment.
type Board struct {
	Bore, Title, Place string
	Zone               *time.Location
	At                 time.Time
	State              State
	Verdict            Verdict
	Findings           []Finding // in the order of the job
	Signs              []Signature
	Waivers            map[string]Waiver
	Release            *ledger.Release // nil unless one stands
	Shown              []ledger.File   // evidence, in the order it came
	Why                string          // reason of the last hold or report
	Unsaid             bool            // the last hold came without a reason, see [Engine.Reason]
	Void               string          // why the last release holds no longer
	VoidAt             int64           // the record that took it away; 0 where none did, as when its time is over
	Rules              string
	Ver, Seq           int64
	Ends               time.Time // when a release given now would end; zero if unknown
	Jurisdiction       string    // whose codes hold; "": the base alone
	Kept               bool      // judged by the rules that its release was given under; others are in force now

	catalogue *Catalogue
	view      *view
}

// Board shows how a bore stands now. It asks the rules again about what time
// alone may have changed.
func (e *Engine) Board(ctx context.Context, bore string) (Board, error) {
	l, err := e.bore(ctx, bore)
	if err != nil {
		return Board{}, err
	}
	defer l.mu.Unlock()
	e.refresh(ctx, l)
	return e.board(l), nil
}

func (e *Engine) board(l *live) Board {
	now := e.clock()
	snapshot := l.bore // never changed any more, see live
	b := Board{
		Bore: snapshot.ID, Title: snapshot.Title, Place: snapshot.Place, Zone: snapshot.Zone, At: now,
		State: snapshot.State, Signs: snapshot.signs, Waivers: snapshot.waivers,
		Release: snapshot.release, Shown: snapshot.shown, Why: snapshot.why, Unsaid: snapshot.unsaid != 0, Void: snapshot.voided, VoidAt: snapshot.voidedAt,
		Rules: snapshot.Rules, Ver: snapshot.Ver, Seq: snapshot.Seq,
		Jurisdiction: snapshot.Jurisdiction, Kept: l.kept,
		catalogue: l.rules.Catalogue(), view: &view{bore: snapshot, cat: l.rules.Catalogue(), now: now},
	}
	b.Findings = make([]Finding, 0, len(l.targets))
	for _, t := range l.targets {
		b.Findings = append(b.Findings, l.findings[t.key()])
	}
	b.Ends, _ = until(b.catalogue, snapshot, now)
	b.judge(now)
	return b
}

// judge sets the verdict. A release that has run out, or under which a rule
// holds no longer, is none.
func (b *Board) judge(now time.Time) {
	holds, fails, missing := true, false, false
	for _, f := range b.Findings {
		ch, ok := b.catalogue.Check(f.Check)
		if ok && ch.Gate != GateRelease {
			continue
		}
		holds = holds && ok && f.Status.Holds()
		// What only wants another signature lets people sign.
		signs := ok && ch.AboutSignatures() && f.Status == Fail && len(b.Signs) > 0
		fails = fails || f.Status == Fail && !signs || f.Status == Broken || f.Status == ""
		missing = missing || f.Status == Needs && !onlySignature(f)
	}
	released := b.State == Released && b.Release != nil && !now.After(b.Release.Until)
	switch {
	case b.State == Closed:
		b.Verdict = Finished
	case released && holds && len(b.Findings) > 0:
		b.Verdict = Ready
	case fails:
		b.Verdict = Stopped
	case b.State == Held && missing:
		b.Verdict = OnHold
	case missing:
		b.Verdict = Unfinished
	default:
		b.Verdict = Signable
	}
	if b.State == Released && b.Verdict != Ready && b.Void == "" {
		b.Void = VoidRule
		if b.Rules != b.catalogue.Revision {
			b.Void = VoidRules
		}
		if b.Release == nil || now.After(b.Release.Until) {
			b.Void = VoidTimeOver
		}
	}
}

// Catalogue is what the rules say that the board is judged by.
func (b *Board) Catalogue() *Catalogue { return b.catalogue }

// Facts lists everything that was given, by key.
func (b *Board) Facts() []Given { return b.view.bore.Facts() }

// Fact gives a value that stands on the board.
func (b *Board) Fact(key string) (Given, bool) { return b.view.bore.Fact(key) }

// Derived gives a computed value for a subject, in base units.
func (b *Board) Derived(scope Scope, subject, leaf string) (int64, bool) {
	v, missing, err := subjectView{b.view, scope, subject}.Value(leaf)
	n, ok := v.(int64)
	return n, ok && err == nil && len(missing) == 0
}

// Of lists the findings with one status in front of a gate.
func (b *Board) Of(gate Gate, statuses ...Status) []Finding {
	var all []Finding
	for _, f := range b.Findings {
		if ch, ok := b.catalogue.Check(f.Check); ok && ch.Gate == gate && slices.Contains(statuses, f.Status) {
			all = append(all, f)
		}
	}
	return all
}

// Question is what to ask next: one or more asks that belong together, all of
// one subject.
type Question struct {
	Check   *Check
	Subject string
	Asks    []*Ask
	N, Of   int    // place of the check among those of its area on this board
	Finding string // the finding that it is about
	Again   bool   // it was answered, and the answer does not hold
	Carry   string // "gear" or "place" when an earlier bore may have the values
}

// Keys are the fact keys that the question asks for.
func (q *Question) Keys() []string {
	var keys []string
	for _, a := range q.Asks {
		keys = append(keys, Key(a.ID, q.Subject))
	}
	return keys
}

// Next is the question that the job wants next in front of a gate: the first
// rule that does not hold, in the order of the job. Findings in later are left
// for the end. No question and ok means that only signatures are missing.
func (b *Board) Next(gate Gate, later map[string]bool) (q *Question, ok bool) {
	for _, put := range []bool{false, true} {
		for i, f := range b.Findings {
			ch, known := b.catalogue.Check(f.Check)
			if !known || ch.Gate != gate || f.Status.Holds() || onlySignature(f) || later[f.Key()] != put {
				continue
			}
			if q := b.question(i, ch, f); q != nil {
				return q, true
			}
		}
	}
	return nil, false
}

// Ask makes the question for one finding, whether it holds or not, so that an
// answer can be changed.
func (b *Board) Ask(key string) *Question {
	for i, f := range b.Findings {
		if f.Key() == key {
			if ch, ok := b.catalogue.Check(f.Check); ok {
				return b.question(i, ch, f)
			}
		}
	}
	return nil
}

func (b *Board) question(at int, ch *Check, f Finding) *Question {
	key := ""
	again := f.Status != Needs
	if !again && len(f.Missing) > 0 {
		key = f.Missing[0]
	} else {
		key = b.askAgain(ch, f)
	}
	id, subject := SplitKey(key)
	first, ok := b.catalogue.Ask(id)
	if !ok {
		return nil
	}
	q := &Question{Check: ch, Subject: subject, Finding: f.Key(), Again: again, Carry: first.Carry}
	q.Asks = b.together(first, subject, f, again)
	q.N, q.Of = b.place(at, ch.Area)
	return q
}

// askAgain picks what to ask when a rule fails: what it introduces, or else the
// last thing that it reads.
func (b *Board) askAgain(ch *Check, f Finding) string {
	var best *Ask
	for _, leaf := range ch.PassReads {
		for _, a := range b.asksBehind(leaf) {
			if best == nil || preferred(ch, a, best, b.catalogue) {
				best = a
			}
		}
	}
	if best == nil {
		return ""
	}
	if best.Scope == PerBore {
		return best.ID
	}
	if best.Scope == ch.Each {
		return Key(best.ID, f.Subject)
	}
	if items := b.view.bore.subjects(best.Scope); len(items) > 0 {
		return Key(best.ID, items[0])
	}
	return listOf(best.Scope)
}

func preferred(ch *Check, a, than *Ask, c *Catalogue) bool {
	own, ownThan := a.Check == ch.ID, than.Check == ch.ID
	if own != ownThan {
		return own
	}
	if own {
		return c.Rank(a.ID) < c.Rank(than.ID)
	}
	return c.Rank(a.ID) > c.Rank(than.ID)
}

// asksBehind lists the asks that a leaf stands on.
func (b *Board) asksBehind(leaf string) []*Ask {
	if reads := readsOf(leaf); len(reads) > 0 {
		var all []*Ask
		for _, r := range reads {
			all = append(all, b.asksBehind(bareLeaf(r))...)
		}
		return all
	}
	_, id := scopeOfLeaf(leaf)
	if a, ok := b.catalogue.Ask(id); ok {
		return []*Ask{a}
	}
	return nil
}

// together lists the asks that go into one message with the first: all that
// are still missing. Asked again it is all of them for a frequency or crossing,
// which is read in one go, and otherwise those that the rule reads.
func (b *Board) together(first *Ask, subject string, f Finding, again bool) []*Ask {
	if first.Together == "" {
		return []*Ask{first}
	}
	var group []*Ask
	for _, a := range b.catalogue.Asks {
		if a.Together != first.Together || a.Scope != first.Scope {
			continue
		}
		_, missing, err := b.view.fact(a.ID, subject)
		reads := slices.Contains(b.catalogue.ReadBy(leafOf(a)), mustCheck(b.catalogue, f.Check))
		if err != nil || len(missing) > 0 || again && (reads || subject != "") {
			group = append(group, a)
		}
	}
	if len(group) == 0 {
		return []*Ask{first}
	}
	return group
}

func mustCheck(c *Catalogue, id string) *Check { ch, _ := c.Check(id); return ch }

// place is where a finding stands among those of its area.
func (b *Board) place(at int, area string) (n, of int) {
	for i, f := range b.Findings {
		if ch, ok := b.catalogue.Check(f.Check); ok && ch.Area == area {
			of++
			if i <= at {
				n++
			}
		}
	}
	return n, of
}

// Items lists the frequencies or crossings of the board, as subjects.
func (b *Board) Items(s Scope) []string { return b.view.bore.subjects(s) }
