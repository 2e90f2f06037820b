package rules

import (
	"slices"

	"github.com/open-policy-agent/opa/v1/ast"
)

// functions lists every built-in function and operator that a rule may use.
// It is a list of what is allowed, so that a new engine version adds nothing
// by itself. All of them give the same result for the same input and stop when
// told to. What builds long texts or lists in one step (concat, sprintf,
// array.concat, numbers.range, bits.lsh) is left out: it could use up the
// memory before any deadline counts. What leaves fractions is left out too, for
// the rule engine does not keep them exactly.
func functions() []string {
	return []string{
		"abs", "and", "assign", "contains", "count", "endswith", "eq", "equal",
		"gt", "gte", "internal.member_2", "internal.member_3", "intersection",
		"is_array", "is_boolean", "is_number", "is_object", "is_set", "is_string",
		"lower", "lt", "lte", "max", "min", "minus", "mul", "neq",
		"object.filter", "object.get", "object.keys", "object.remove", "object.union", "or",
		"plus", "rem", "sort", "startswith", "sum",
		"trim", "trim_left", "trim_prefix", "trim_right", "trim_space", "trim_suffix",
		"union", "upper",
	}
}

// capabilities is one dialect, Rego v1, with the allowed functions and no
// network. Without the version 2 features its import is refused by the parser,
// and with it the other meaning of "not".
func capabilities() *ast.Capabilities {
	caps := &ast.Capabilities{Features: []string{ast.FeatureRegoV1}, AllowNet: []string{}}
	allowed := functions()
	for _, b := range ast.CapabilitiesForThisVersion(ast.CapabilitiesRegoVersion(ast.RegoV1)).Builtins {
		if slices.Contains(allowed, b.Name) && !b.Nondeterministic {
			caps.Builtins = append(caps.Builtins, b)
		}
	}
	return caps
}
