package engine

import (
	"time"

	"firstrod/engine/quantity"
)

// reading keeps what was read from the records of one bore for those of the next,
// which say much the same: values and time zones never change. A nil one keeps
// nothing. It is for one goroutine.
type reading struct {
	zones  map[string]*time.Location
	values map[written]quantity.Value
}

// written is a value as a record has it.
type written struct{ kind, exact string }

// readingMost is how many values are kept at most.
const readingMost = 10_000

func newReading() *reading {
	return &reading{zones: map[string]*time.Location{}, values: map[written]quantity.Value{}}
}

func (r *reading) zone(name string) (*time.Location, error) {
	if r == nil {
		return time.LoadLocation(name)
	}
	if zone, ok := r.zones[name]; ok {
		return zone, nil
	}
	zone, err := time.LoadLocation(name)
	if err == nil {
		r.zones[name] = zone
	}
	return zone, err
}

func (r *reading) value(kind, exact string, items []string) (quantity.Value, error) {
	if r == nil || len(items) > 0 {
		return quantity.Parse(quantity.Kind(kind), exact, items)
	}
	key := written{kind, exact}
	if v, ok := r.values[key]; ok {
		return v, nil
	}
	v, err := quantity.Parse(quantity.Kind(kind), exact, nil)
	if err == nil && len(r.values) < readingMost {
		r.values[key] = v
	}
	return v, err
}
