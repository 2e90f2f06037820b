package depth_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"firstrod/engine/depth"
)

// JCGM 106:2012, clause 9, resistors: limits 1499.8 to 1500.2 ohm, process 0.12,
// measurement 0.04 (inputs as in an open script of the example; the guide prints 1 %
// and 7 % for the guarded rule, from memory; digits recomputed).
func TestRiskOfTheResistors(t *testing.T) {
	p := depth.Process{Mean: 1500, SD: 0.12, U: 0.04, Lower: 1499.8, Upper: 1500.2}
	for _, c := range []struct{ guard, consumer, producer float64 }{
		{0.02, 0.0098782915, 0.06902651}, {0, 0.018942207, 0.0372078}, {0.08, 0.0004686336, 0.24766964},
	} {
		p.AcceptLower, p.AcceptUpper = p.Lower+c.guard, p.Upper-c.guard
		r, err := p.Risk()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "conforming", r.Conforming, 0.904419295454, 1e-12)
		near(t, "consumer", r.Consumer, c.consumer, 1e-8)
		near(t, "producer", r.Producer, c.producer, 1e-7)
	}
}

// A tighter rule moves the risk from the one that relies on it to the one that is
// held back; an exact measurement has next to none; the unit does not matter.
func TestRiskProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := depth.Process{
			Mean: rapid.Float64Range(-0.05, 0.05).Draw(t, "mean"), SD: rapid.Float64Range(0.005, 0.2).Draw(t, "sd"),
			U: rapid.Float64Range(0.001, 0.1).Draw(t, "u"), Lower: -0.0762, Upper: 0.0762,
		}
		risk := func(p depth.Process, guard float64) depth.Risk {
			p.AcceptLower, p.AcceptUpper = p.Lower+guard, p.Upper-guard
			r, err := p.Risk()
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		plain, guarded := risk(p, 0), risk(p, 0.03)
		if guarded.Consumer > plain.Consumer+1e-12 || guarded.Producer < plain.Producer-1e-12 {
			t.Fatalf("guarded %+v, plain %+v", guarded, plain)
		}
		if plain.Producer > plain.Conforming+1e-9 || plain.Consumer > 1-plain.Conforming+1e-9 {
			t.Fatalf("more risk than there are: %+v", plain)
		}
		feet := depth.Process{Mean: p.Mean / ft, SD: p.SD / ft, U: p.U / ft, Lower: p.Lower / ft, Upper: p.Upper / ft}
		near(t, "in feet", risk(feet, 0.03/ft).Consumer, guarded.Consumer, 1e-10)
		p.U = 1e-6
		if sharp := risk(p, 0); sharp.Consumer > 1e-4 || sharp.Producer > 1e-4 {
			t.Fatalf("sharp %+v", sharp)
		}
	})
}

func TestRiskRefuses(t *testing.T) {
	good := depth.Process{SD: 1, U: 0.1, Lower: -1, Upper: 1, AcceptLower: -1, AcceptUpper: 1}
	for field, spoil := range map[string]func(p *depth.Process){
		"Mean": func(p *depth.Process) { p.Mean = math.NaN() }, "SD": func(p *depth.Process) { p.SD = 0 },
		"U": func(p *depth.Process) { p.U = -1 }, "Lower": func(p *depth.Process) { p.Lower = 1 },
		"Upper":       func(p *depth.Process) { p.Upper = math.Inf(1) },
		"AcceptLower": func(p *depth.Process) { p.AcceptLower = 2 },
		"AcceptUpper": func(p *depth.Process) { p.AcceptUpper = math.NaN() },
	} {
		p := good
		spoil(&p)
		_, err := p.Risk()
		refused(t, err, field)
	}
}
