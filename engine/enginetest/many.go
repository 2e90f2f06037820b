package enginetest

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// Many makes the records of many crews at once, without end and without rules:
// what they would have said and decided over months, made up from a seed. A
// ledger of them verifies. It is for tests of what takes long on a large ledger;
// [Crew] is for what is true of a real one.
type Many struct {
	rng    *rand.Rand
	at     time.Time
	seq    int64
	queue  []ledger.Entry
	people []ledger.Actor
	rules  string
	active []*manyBore
	bores  int
}

// manyBore is one bore on its way.
type manyBore struct {
	id         string
	ver        int64
	hand, oper ledger.Actor
	left       []string // checks that wait for an answer
	failed     string
	waived     []string
	signed     bool
	over       bool
	receiver   int
}

const (
	manyPeople  = 200
	manyActive  = 32
	manyChecks  = 40
	manyRules   = 50_000 // records under one revision of the rules
	manyMeaning = "I have seen the values on this board and the ground they were read on, and I stand by them."
)

// NewMany starts at a moment. The first entries introduce rules and people.
func NewMany(seed uint64, at time.Time) *Many {
	m := &Many{rng: rand.New(rand.NewPCG(seed, 1)), at: at, seq: 1}
	m.publish()
	for i := range manyPeople {
		id, role := fmt.Sprintf("p_%04d", i), engine.RoleLocatingHand
		if i%2 == 1 {
			role = engine.RoleDrillOperator
		}
		m.people = append(m.people, ledger.Actor{ID: id, Role: role})
		m.add(ledger.Record{Kind: ledger.KindPerson, Person: &ledger.Person{ID: id, Roles: []string{role}, Commit: ledger.Commitment([]byte(id), id)}})
		m.queue[len(m.queue)-1].Private = []ledger.Private{{ID: id, Salt: []byte(id), Value: id}}
	}
	return m
}

// ManyPerson, ManyReceiver and ManyPlace are names that Many uses.
func ManyPerson(n int) string { return fmt.Sprintf("p_%04d", n%manyPeople) }

// ManyCheck is the id of one of its checks.
func ManyCheck(n int) string {
	areas := []string{"ticket", "crew", "gear", "ground", "calibration", "verification", "crossings", "closing"}
	return fmt.Sprintf("%s.check_%02d", areas[n%len(areas)], n%manyChecks)
}

// ManyReceiver is the serial of one of its receivers.
func ManyReceiver(n int) string { return fmt.Sprintf("R-%d", 100+n%300) }

// ManyPlace is one of its jurisdictions.
func ManyPlace(n int) string {
	states := []string{"US-VA", "US-AZ", "US-OR", "US-TX", "US-OH"}
	return fmt.Sprintf("%s/county-%d", states[n%len(states)], n%40)
}

// Next gives the next entry.
func (m *Many) Next() ledger.Entry {
	for len(m.queue) == 0 {
		m.turn()
	}
	e := m.queue[0]
	m.queue = m.queue[1:]
	return e
}

// Now is the time of the entry that Next gave last.
func (m *Many) Now() time.Time { return m.at }

func (m *Many) add(r ledger.Record, blobs ...[]byte) {
	r.V, r.Key, r.At = ledger.Version, fmt.Sprintf("many:%016x%012d", m.rng.Uint64(), m.seq), m.at
	m.queue = append(m.queue, ledger.Entry{Record: r, Blobs: blobs})
	m.seq++
}

func (m *Many) publish() {
	packs := fmt.Appendf(nil, "packs %d", m.seq)
	m.rules = ledger.BlobSum(packs)
	pack := &ledger.Pack{Blob: m.rules, Engine: "none"}
	for i := range manyChecks {
		pack.Checks = append(pack.Checks, ledger.PackCheck{ID: ManyCheck(i), Gate: "release"})
	}
	m.add(ledger.Record{Kind: ledger.KindRules, Rules: m.rules, Pack: pack}, packs)
}

// turn lets one of the crews go a step further.
func (m *Many) turn() {
	if m.seq%manyRules == 0 {
		// Bores on their way are finished under the rules they began with here.
		m.active = nil
		m.publish()
		return
	}
	m.at = m.at.Add(time.Duration(m.rng.ExpFloat64() * float64(4*time.Second)))
	if len(m.active) < manyActive {
		m.open()
		return
	}
	i := m.rng.IntN(len(m.active))
	b := m.active[i]
	m.step(b)
	if b.over {
		m.active = slices.Delete(m.active, i, i+1)
	}
}

func (m *Many) open() {
	m.bores++
	pair := 2 * m.rng.IntN(manyPeople/2)
	b := &manyBore{id: fmt.Sprintf("B-%06d", m.bores), hand: m.people[pair], oper: m.people[pair+1], receiver: m.rng.IntN(300)}
	for i := range manyChecks {
		b.left = append(b.left, ManyCheck(i))
	}
	m.active = append(m.active, b)
	m.say(b, b.hand, ledger.Record{
		Kind: ledger.KindOpen, State: ledger.StateOpen, Typed: "new " + b.id,
		Open:     &ledger.Opening{Title: b.id, Zone: "America/Phoenix", Place: "Otter Run", Jurisdiction: ManyPlace(m.rng.IntN(40))},
		Findings: map[string][]string{"needs": slices.Clone(b.left)},
	})
}

func (m *Many) say(b *manyBore, by ledger.Actor, r ledger.Record, blobs ...[]byte) {
	b.ver++
	r.Bore, r.Ver, r.By, r.From, r.Lang, r.Rules = b.id, b.ver, &by, "terminal", "en", m.rules
	m.add(r, blobs...)
}

// step is what a crew does next.
func (m *Many) step(b *manyBore) {
	switch {
	case b.failed != "" && m.rng.IntN(10) == 0:
		m.say(b, b.oper, ledger.Record{Kind: ledger.KindWaive, Check: b.failed, Why: "seen by the safety manager", State: ledger.StateOpen,
			Findings: map[string][]string{"waived": {b.failed}}})
		b.waived, b.failed = append(b.waived, b.failed), ""
	case b.failed != "":
		m.answer(b, b.failed, "pass")
		b.failed = ""
	case len(b.left) > 0:
		check := b.left[0]
		b.left = b.left[1:]
		if m.rng.IntN(25) == 0 {
			b.failed = check
			m.answer(b, check, "fail")
			return
		}
		m.answer(b, check, "pass")
	default:
		m.finish(b)
	}
}

func (m *Many) answer(b *manyBore, check, status string) {
	feet := 5 + m.rng.IntN(40)
	f := ledger.Fact{Key: "reading_" + check[len(check)-2:], Kind: "length", Typed: fmt.Sprintf("%d ft", feet), Value: fmt.Sprint(feet * 304_800), Unit: "um"}
	if len(b.left) == manyChecks-3 {
		f = ledger.Fact{Key: "receiver_serial", Kind: "serial", Typed: ManyReceiver(b.receiver), Value: ManyReceiver(b.receiver)}
	}
	m.say(b, b.hand, ledger.Record{Kind: ledger.KindAnswer, Typed: f.Typed, Facts: []ledger.Fact{f}, State: ledger.StateOpen,
		Findings: map[string][]string{status: {check}}})
}

// finish signs, drills and closes; one in five is stopped on the way.
func (m *Many) finish(b *manyBore) {
	input := []byte("input of " + b.id)
	sign := &ledger.Sign{Meaning: manyMeaning, Input: ledger.BlobSum(input), Through: b.ver}
	if !b.signed {
		b.signed = true
		m.say(b, b.hand, ledger.Record{Kind: ledger.KindSign, Typed: "sign", State: ledger.StateOpen, Sign: sign})
		return
	}
	rel := &ledger.Release{Until: m.at.Add(9 * time.Hour), Signers: []ledger.Actor{b.hand, b.oper}, Input: sign.Input, Checks: manyChecks, Waived: b.waived}
	if m.rng.IntN(10) == 0 {
		rel.Loose = []string{[]string{"ground.standoff", "verification.tolerance", "crossings.clearance"}[m.rng.IntN(3)]}
	}
	m.say(b, b.oper, ledger.Record{Kind: ledger.KindSign, Typed: "sign", State: ledger.StateReleased, Sign: sign, Release: rel}, input)
	end := ledger.Record{Kind: ledger.KindClose, Typed: "close", State: ledger.StateClosed, Void: engine.VoidClosed}
	if m.rng.IntN(5) == 0 {
		m.say(b, b.hand, ledger.Record{Kind: ledger.KindReport, Event: "hard_hit", Why: "rod 9", State: ledger.StateHeld, Void: engine.VoidReport})
		end.Void = ""
	}
	m.say(b, b.hand, end)
	b.over = true
}
