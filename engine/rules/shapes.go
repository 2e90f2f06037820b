package rules

import (
	"github.com/open-policy-agent/opa/v1/types"

	"firstrod/engine/quantity"
)

// shape is what rules see of a value: the form that an answer takes in Go and
// in Rego.
type shape int

const (
	odd     shape = iota // nothing that can be said beforehand
	number               // int64, number
	text                 // string, string
	flag                 // bool, boolean
	numbers              // []int64, array
	texts                // []string, array
)

func (s shape) String() string {
	return [...]string{"something unclear", "a number", "a text", "a yes or no", "a list of numbers", "a list of texts"}[s]
}

func shapeOf(k quantity.Kind) shape {
	if item, ok := k.Item(); ok && item.Numeric() {
		return numbers
	}
	switch {
	case k == quantity.YesNo:
		return flag
	case k == quantity.Names:
		return texts
	case k.Numeric():
		return number
	case k == quantity.Choice, k == quantity.Text, k == quantity.Serial:
		return text
	}
	return odd
}

// item is the shape of one entry of a list.
func (s shape) item() shape {
	switch s {
	case numbers:
		return number
	case texts:
		return text
	}
	return odd
}

func fromType(t types.Type) shape {
	switch t := t.(type) {
	case types.Number:
		return number
	case types.String:
		return text
	case types.Boolean:
		return flag
	case *types.Array:
		switch fromType(t.Dynamic()) {
		case number:
			return numbers
		case text:
			return texts
		}
	}
	return odd
}
