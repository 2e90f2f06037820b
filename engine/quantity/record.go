package quantity

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
)

// maxExact is the longest number in a record. It bounds the work that a
// damaged or hostile record can ask for.
const maxExact = 200

// Exact is the form kept in records: the number in base units as an integer or
// a lowest-terms fraction ("3175/2"), the text, "yes" or "no", or for a list
// the number of its items. It is "" for the zero Value.
func (v Value) Exact() string {
	switch _, list := v.kind.list(); {
	case v.rat != nil:
		return v.rat.RatString()
	case v.kind == YesNo && v.yes:
		return "yes"
	case v.kind == YesNo:
		return "no"
	case list:
		return strconv.Itoa(len(v.list))
	default:
		return v.text
	}
}

// Items is the Exact form of each item of a list, nil for other kinds and for
// an empty list.
func (v Value) Items() []string {
	var items []string
	for _, item := range v.list {
		items = append(items, item.Exact())
	}
	return items
}

// Parse is the inverse of Exact and Items. It takes the canonical spelling
// only: whenever it succeeds, Exact gives back exact and Items gives back
// items.
func Parse(k Kind, exact string, items []string) (Value, error) {
	item, list := k.list()
	if !list && len(items) > 0 {
		return Value{}, fmt.Errorf("a %s has no items", k)
	}
	var v Value
	switch {
	case list:
		return parseList(k, item, exact, items)
	case k.Numeric():
		v = parseNumber(k, exact)
	case k == YesNo:
		v = OfYes(exact == "yes")
	case k.written():
		v = OfText(k, exact)
	default:
		return Value{}, fmt.Errorf("%q is not a kind of value", k)
	}
	if !v.Valid() || v.Exact() != exact {
		return Value{}, fmt.Errorf("%q is not the record form of a %s", exact, k)
	}
	return v, nil
}

func parseList(k, item Kind, exact string, items []string) (Value, error) {
	if exact != strconv.Itoa(len(items)) {
		return Value{}, fmt.Errorf("%q does not count the %d items of %s", exact, len(items), k)
	}
	var list []Value
	for i, s := range items {
		v, err := Parse(item, s, nil)
		if err != nil {
			return Value{}, fmt.Errorf("item %d of %s: %w", i+1, k, err)
		}
		list = append(list, v)
	}
	v := OfList(k, list...)
	if !v.Valid() {
		return Value{}, fmt.Errorf("not a list of %s: empty, too long, or an item comes twice", k)
	}
	return v, nil
}

// parseNumber reads an integer or fraction made of digits, "/" and a leading
// "-". big.Rat alone would also take exponents, which can ask for gigabytes.
func parseNumber(k Kind, exact string) Value {
	if len(exact) > maxExact || strings.Trim(exact, "-/0123456789") != "" {
		return Value{}
	}
	if n, err := strconv.ParseInt(exact, 10, 64); err == nil { // nearly all there are
		r := new(big.Rat).SetInt64(n)
		if !k.Numeric() || !fits(k, r) {
			return Value{}
		}
		return Value{kind: k, rat: r}
	}
	r, ok := new(big.Rat).SetString(exact)
	if !ok {
		return Value{}
	}
	return OfRat(k, r)
}
