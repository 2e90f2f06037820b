package quantity

import (
	"math/big"
	"slices"
	"time"
)

// Value is one exact value of one kind. The zero Value is not valid and equals
// nothing. A Value never changes; compare with Equal, not with ==.
type Value struct {
	kind Kind
	rat  *big.Rat
	text string
	yes  bool
	list []Value
}

// Of is a numeric value of base base units. It is the zero Value when k is not
// numeric or base is out of range for k.
func Of(k Kind, base int64) Value { return OfRat(k, new(big.Rat).SetInt64(base)) }

// OfRat is a numeric value of r base units, which may be a fraction except for
// counts, dates and times. It is the zero Value when k is not numeric or r is
// out of range for k. r is copied.
func OfRat(k Kind, r *big.Rat) Value {
	if !k.Numeric() || !fits(k, r) {
		return Value{}
	}
	return Value{kind: k, rat: new(big.Rat).Set(r)}
}

// OfText is a choice, text or serial. It is the zero Value when k is none of
// these or s is not allowed for k.
func OfText(k Kind, s string) Value {
	if !k.written() {
		return Value{}
	}
	clean, bad := cleanText(k, s)
	if bad != nil {
		return Value{}
	}
	return Value{kind: k, text: clean}
}

// OfYes is a yes (true) or a no (false).
func OfYes(yes bool) Value { return Value{kind: YesNo, yes: yes} }

// OfList is a list of frequencies, names, readings or pitches (items of kind
// Frequency, Text, Length or Percent). It is the zero Value when k is no list, an
// item has the wrong kind, a frequency or name comes twice, there are no readings
// or pitches at all, or more than 20 items (200 pitches).
func OfList(k Kind, items ...Value) Value {
	item, ok := k.list()
	if !ok || len(items) > k.most() || k.repeats() && len(items) == 0 {
		return Value{}
	}
	for i, v := range items {
		if v.kind != item || !v.Valid() || !k.repeats() && twice(items[:i], v) {
			return Value{}
		}
		if k == Names && !nameLength(v.text) {
			return Value{}
		}
	}
	return Value{kind: k, list: slices.Clone(items)}
}

// twice reports whether v, or the same name in other letters, is in earlier.
func twice(earlier []Value, v Value) bool {
	return slices.ContainsFunc(earlier, func(e Value) bool {
		return e.Equal(v) || (v.kind == Text && fold(e.text) == fold(v.text))
	})
}

// maxBits bounds either half of a fraction, so that every value has a record
// form no longer than maxExact.
const maxBits = 320

// fits reports whether r is a number that k can hold: whole where k must be,
// within 64 bits once its fraction is dropped, and between the years 1 and 9999 for dates and times.
func fits(k Kind, r *big.Rat) bool {
	if r == nil || (k.whole() && !r.IsInt()) || r.Denom().BitLen() > maxBits || r.Num().BitLen() > maxBits {
		return false
	}
	base := new(big.Int).Quo(r.Num(), r.Denom())
	if !base.IsInt64() {
		return false
	}
	first := time.Date(1, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
	last := time.Date(9999, 12, 31, 23, 59, 59, 0, time.UTC).Unix()
	switch n := base.Int64(); k {
	case Date:
		return n >= first/daySeconds && n <= last/daySeconds
	case Time:
		return n >= first && n <= last
	default:
		return true
	}
}

// Kind is the kind of v, "" for the zero Value.
func (v Value) Kind() Kind { return v.kind }

// Valid reports whether v holds a value.
func (v Value) Valid() bool { return v.kind != "" }

// Rat is a copy of the number in base units, nil when v is not numeric.
func (v Value) Rat() *big.Rat {
	if v.rat == nil {
		return nil
	}
	return new(big.Rat).Set(v.rat)
}

// Base is the number in base units, a fraction of a base unit dropped towards
// zero; 0 when v is not numeric.
func (v Value) Base() int64 {
	if v.rat == nil {
		return 0
	}
	return new(big.Int).Quo(v.rat.Num(), v.rat.Denom()).Int64()
}

// Str is the text of a choice, text or serial, "" for other kinds.
func (v Value) Str() string { return v.text }

// Yes reports whether v is a yes.
func (v Value) Yes() bool { return v.kind == YesNo && v.yes }

// List is a copy of the items of a list, nil for other kinds.
func (v Value) List() []Value { return slices.Clone(v.list) }

// Equal reports whether v and w are valid, of one kind and the same value.
// Lists are the same when their items are, in the same order.
func (v Value) Equal(w Value) bool {
	if !v.Valid() || v.kind != w.kind || v.text != w.text || v.yes != w.yes {
		return false
	}
	if v.rat != nil && v.rat.Cmp(w.rat) != 0 {
		return false
	}
	return slices.EqualFunc(v.list, w.list, Value.Equal)
}
