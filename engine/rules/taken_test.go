package rules

import (
	"strings"
	"testing"

	"firstrod/engine"
)

// A limit that would lie where rules read another is refused, whatever each is called.
func TestRefusesPathsTwice(t *testing.T) {
	limit := func(pack, name, path string) *engine.Param {
		return &engine.Param{Pack: pack, Name: name, Path: path}
	}
	wide := &tier{own: limits{all: []*engine.Param{limit("base", "ground.standoff", "ground.standoff_um")}}}
	for _, c := range []struct {
		own  []*engine.Param
		want string
	}{
		{[]*engine.Param{limit("", "ground.standoff_um", "ground.standoff_um")}, "the limit ground.standoff is there in a wider pack already"},
		{[]*engine.Param{limit("", "ground.standoff", "ground.standoff_s")}, "the limit ground.standoff is there in a wider pack already"},
		{[]*engine.Param{limit("", "ground.wet", "ground.wet_um"), limit("", "ground.wet_um", "ground.wet_um")}, "the limit ground.wet is there twice"},
		{[]*engine.Param{limit("", "ground.wet", "ground.wet_um")}, ""},
	} {
		out := &faults{}
		local := &tier{tierOf: tierOf{code: "va", over: wide}, own: limits{all: c.own}}
		local.taken(out)
		got := ""
		if err := out.err(); err != nil {
			got = err.Error()
		}
		if !strings.Contains(got, c.want) || (got == "") != (c.want == "") {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}
