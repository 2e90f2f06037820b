package quantity

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Option is one answer of a Choice: its ID and the words, in any language,
// that mean it.
type Option struct {
	ID    string
	Words []string
}

// Want says what is asked for.
type Want struct {
	Kind Kind
	// Unit is the unit that a bare number is taken in, after asking: "ft",
	// "in", "m", "cm", "hz", "khz", "v", "kv", "h", "min", "%", "db" ...
	Unit string
	// Min and Max are inclusive, nil for none, and of the Kind; for a list
	// they are of the kind of its items and hold for each.
	Min, Max *Value
	// Soft makes a value out of range an Ask; otherwise it is refused.
	Soft    bool
	Options []Option       // for Choice
	Zone    *time.Location // of the site, for Date and Time
	Now     time.Time      // for Date and Time
	Lang    string         // of the values in Reason.Args, see PrintIn
}

// Outcome says what may be done with a Reading.
type Outcome int

// The outcomes. The zero value refuses.
const (
	Refuse Outcome = iota // there is no value
	Ask                   // there is a value, to be taken only upon a "yes"
	Exact                 // there is a value
)

// Reason says why a reading is not Exact: a code for machines and its args.
type Reason struct {
	Code Code
	Args map[string]string
}

// Reading is what became of one typed text.
type Reading struct {
	Outcome Outcome
	Value   Value  // zero when Outcome is Refuse
	Reason  Reason // zero when Outcome is Exact
}

// draft is a reading before its limits are looked at.
type draft struct {
	value  Value
	doubts []Reason
	refuse *Reason
}

// refused makes a draft that refuses; args are key, value, key, value ...
func refused(code Code, args ...string) draft { return draft{refuse: because(code, args...)} }

// because makes a reason; args are key, value, key, value ...
func because(code Code, args ...string) *Reason {
	r := &Reason{Code: code, Args: map[string]string{}}
	for i := 0; i+1 < len(args); i += 2 {
		r.Args[args[i]] = args[i+1]
	}
	return r
}

// Read reads one value.
func Read(text string, w Want) Reading {
	if bad := checkWant(w); bad != nil {
		return Reading{Reason: *bad}
	}
	if bad := checkText(text); bad != nil {
		return Reading{Reason: *bad}
	}
	return settle(readKind(text, w), w)
}

func readKind(text string, w Want) draft {
	switch {
	case w.Kind.measured():
		return readMeasure(text, w)
	case w.Kind.written() && w.Kind != Choice:
		clean, bad := cleanText(w.Kind, text)
		return draft{value: Value{kind: w.Kind, text: clean}, refuse: bad}
	}
	switch w.Kind {
	case Date:
		return readDate(fold(text), w)
	case Time:
		return readTime(text, w)
	case YesNo:
		return readYesNo(text)
	case Choice:
		return readChoice(text, w.Options)
	case Frequencies:
		return readFrequencies(text, w)
	case Lengths:
		return readLengths(text, w)
	case Pitches:
		return readPitches(text, w)
	default:
		return readNames(text)
	}
}

// settle turns a draft into a reading: limits first, then doubts.
func settle(d draft, w Want) Reading {
	if d.refuse != nil {
		return Reading{Reason: *d.refuse}
	}
	over := outside(d.value, w)
	if over != nil && (!w.Soft || nothing(d.value, w)) {
		reasons := append([]Reason{*over}, d.doubts...)
		if len(d.doubts) > 0 && d.doubts[0].Code == UnitMissing {
			// "305" of which the suggested feet are too many: the person
			// is helped by "305 what?", not by "305 ft is too far".
			reasons = append(d.doubts, *over)
		}
		return Reading{Reason: merge(reasons)}
	}
	if over != nil {
		d.doubts = append(d.doubts, *over)
	}
	if len(d.doubts) > 0 {
		return Reading{Outcome: Ask, Value: d.value, Reason: merge(d.doubts)}
	}
	return Reading{Outcome: Exact, Value: d.value}
}

// merge makes one reason of several: the code of the first, the codes of the
// others in Args "also", and all args, the earlier ones winning.
func merge(reasons []Reason) Reason {
	r := Reason{Code: reasons[0].Code, Args: map[string]string{}}
	var also []string
	for i := len(reasons) - 1; i >= 0; i-- {
		maps.Copy(r.Args, reasons[i].Args)
	}
	for _, other := range reasons[1:] {
		if c := string(other.Code); other.Code != r.Code && !slices.Contains(also, c) {
			also = append(also, c)
		}
	}
	if len(also) > 0 {
		r.Args["also"] = strings.Join(also, " ")
	}
	return r
}

// outside is the reason why v, or the first such item of it, is out of limits.
func outside(v Value, w Want) *Reason {
	items := []Value{v}
	if _, ok := v.kind.list(); ok {
		items = v.list
	}
	for _, item := range items {
		if w.Min != nil && item.rat.Cmp(w.Min.rat) < 0 {
			return because(BelowMin, limitArgs(item, *w.Min, w)...)
		}
		if w.Max != nil && item.rat.Cmp(w.Max.rat) > 0 {
			return because(AboveMax, limitArgs(item, *w.Max, w)...)
		}
	}
	return nil
}

// nothing says whether a length that has to be there is zero. No yes makes a distance
// of zero out of it, and what is worked out from one would fail for every rule.
func nothing(v Value, w Want) bool {
	items := []Value{v}
	if _, ok := v.kind.list(); ok {
		items = v.list
	}
	return w.Min != nil && w.Min.kind == Length && w.Min.rat.Sign() > 0 &&
		slices.ContainsFunc(items, func(item Value) bool { return item.rat.Sign() == 0 })
}

func limitArgs(v, limit Value, w Want) []string {
	return []string{
		"value", PrintIn(v, w.Lang, w.Zone, limit),
		"limit", PrintIn(limit, w.Lang, w.Zone, limit),
	}
}

// checkWant refuses a question that nobody could answer rightly.
func checkWant(w Want) *Reason {
	kind := w.Kind
	if item, ok := kind.list(); ok {
		kind = item
	}
	for _, limit := range []*Value{w.Min, w.Max} {
		if limit != nil && (limit.kind != kind || !kind.Numeric()) {
			return because(BadQuestion, "why", "a limit is not a "+string(kind))
		}
	}
	if _, ok := unitOf(kind, w.Unit); w.Unit != "" && kind.measured() && kind != Count && !ok {
		return because(BadQuestion, "why", strconv.Quote(w.Unit)+" is not a unit of "+string(kind))
	}
	switch {
	case !kind.Numeric() && !kind.written() && kind != YesNo:
		return because(BadQuestion, "why", strconv.Quote(string(kind))+" is not a kind")
	case kind == Choice && len(w.Options) == 0:
		return because(BadQuestion, "why", "a choice without options")
	case kind == Time && w.Zone == nil:
		return because(BadQuestion, "why", "a time without the zone of the site")
	}
	return nil
}
