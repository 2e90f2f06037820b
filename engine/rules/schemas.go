package rules

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"
)

// StockSchemas is base/schemas.rego. It has the stock rule engine hold the rules of
// all packs to both schemas; without it that engine takes a folder of schemas and
// says nothing of checking nothing. Nothing else reads it.
const StockSchemas = `# METADATA
# scope: subpackages
# schemas:
# - input: schema.input
# - data.params: schema.params
package checks
`

// Schemas makes the JSON schemas of what rules read, over the base and every local
// pack: of input, the answers and what the program knows or computes, and of
// data.params, the limits. The stock rule engine takes the folder they lie in:
//
//	opa check --strict -s DIR BASE LOCAL_PACK
//
// The same packs always give the same bytes.
func Schemas(ctx context.Context, layers Layers) (input, params []byte, err error) {
	opts := Options{Draft: true}.withDefaults(bookTime)
	sh, err := inTime(ctx, opts.Total, func(ctx context.Context) (*shelf, error) { return newShelf(ctx, layers, opts) })
	if err != nil {
		return nil, nil, err
	}
	answers, limits := object(), object()
	out := &faults{}
	seen := map[string]shape{}
	for _, t := range append([]*tier{sh.base}, sh.local...) {
		for _, name := range sortedKeys(t.table.leaves) {
			t.describe("input."+name, shapeOf(t.table.leaves[name].kind), answers, seen, out)
		}
		for _, path := range sortedKeys(t.table.params) {
			t.describe("params."+path, shapeOf(t.table.kindOf(path)), limits, seen, out)
		}
	}
	if err := out.err(); err != nil {
		return nil, nil, err
	}
	if input, err = schemaText(answers); err != nil {
		return nil, nil, err
	}
	params, err = schemaText(limits)
	return input, params, err
}

// describe puts one value into a schema. Packs of different places may use one
// name each in its own way, and no one schema can say both.
func (t *tier) describe(name string, s shape, root map[string]any, seen map[string]shape, out *faults) {
	if other, ok := seen[name]; ok {
		if other != s {
			out.add(t.dir+overlayYAML, 0, "%s is %s in this pack and %s in another; one schema cannot say both", name, s, other)
		}
		return
	}
	seen[name] = s
	_, rest, _ := strings.Cut(name, ".")
	describe(root, rest, schemaOf(s))
}

func schemaText(schema map[string]any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	schema["$schema"] = "http://json-schema.org/draft-07/schema#"
	err := e.Encode(schema)
	return b.Bytes(), err
}
