package engine

import (
	"context"
	"time"

	"firstrod/engine/quantity"
)

// Constant is the signal that a transmitter in its housing gave at the baseline
// on one frequency and power, on one bore.
type Constant struct {
	Bore string
	At   time.Time
	DB   float64
}

// constantBack is how many earlier bores are looked through.
const constantBack = 30

// Constants lists what the pair on a bore gave at the baseline before, on the same
// frequency at the same power, the oldest first. A pair is a transmitter and a
// housing, by their serials; another one says nothing about this one.
func (e *Engine) Constants(ctx context.Context, board *Board, hz string) ([]Constant, error) {
	pair, ok := pairOf(func(key string) (Given, bool) { return board.Fact(key) }, hz)
	if !ok {
		return nil, nil
	}
	lines, err := e.store.Bores(ctx, constantBack)
	if err != nil {
		return nil, err
	}
	var all []Constant
	for i := len(lines) - 1; i >= 0; i-- {
		if lines[i].Bore == board.Bore {
			continue
		}
		b, err := e.read(ctx, lines[i].Bore)
		if err != nil {
			return nil, err
		}
		if p, ok := pairOf(b.Fact, hz); !ok || p != pair {
			continue
		}
		if g, ok := b.Fact(Key("signal", hz)); ok && g.Value.Kind() == quantity.Decibel {
			all = append(all, Constant{b.ID, g.At, float64(g.Value.Base()) * milli})
		}
	}
	return all, nil
}

// pairOf is what makes two calibrations comparable.
func pairOf(fact func(key string) (Given, bool), hz string) (pair [3]string, ok bool) {
	for i, key := range []string{"transmitter_serial", "housing_serial", Key("calibrated_power", hz)} {
		g, found := fact(key)
		if !found {
			return pair, false
		}
		pair[i] = g.Value.Str()
	}
	return pair, true
}
