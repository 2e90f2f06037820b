package rules

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// Helpers that use each other twice are read once each, however many there are.
func TestHelpersDoNotDouble(t *testing.T) {
	for _, c := range []struct {
		name, first, next, pass string
		most                    int
	}{
		{"sums", "_a0 := input.metal_distance\n", "_a%[1]d := _a%[2]d + _a%[2]d\n", "pass if _a%d > 0\n", 60},
		{"lists", "_a0 := [input.metal_distance]\n", "_a%[1]d := [_a%[2]d, _a%[2]d]\n", "_f(x) := 1 if is_array(x)\n\npass if {\n\tinput.metal_distance > 0\n\t_f(_a%d) == 1\n}\n", 12},
		{"functions", "_a0(x) := x + input.metal_distance\n", "_a%[1]d(x) := _a%[2]d(x + 0) + _a%[2]d(x)\n", "pass if _a%d(input.metal_distance) > 0\n", 12},
	} {
		t.Run(c.name, func(t *testing.T) {
			var b strings.Builder
			b.WriteString(c.first)
			for i := range c.most {
				fmt.Fprintf(&b, "\n"+c.next, i+1, i)
			}
			fmt.Fprintf(&b, "\n"+c.pass, c.most)
			m := fixture()
			body(b.String())(t, m)
			begin := time.Now()
			load(t, m)
			if took := time.Since(begin); took > 2*time.Second {
				t.Errorf("took %s", took)
			}
		})
	}
}
