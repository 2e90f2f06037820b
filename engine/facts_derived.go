package engine

import "fmt"

func (s subjectView) derive(d derivation) (any, []string, error) {
	lists, every := map[string][]float64{}, map[string][][]float64{}
	var missing []string
	for _, read := range d.reads {
		var gap []string
		var err error
		if bare := bareLeaf(read); bare != read {
			every[read], gap, err = s.everyValue(bare)
		} else {
			lists[read], gap, err = s.numbers(read)
		}
		if err != nil {
			return nil, nil, err
		}
		missing = append(missing, gap...)
	}
	if len(missing) > 0 {
		return nil, missing, nil
	}
	limits, err := s.limits(d.params)
	if err != nil {
		return nil, nil, err
	}
	n, err := d.of(known{
		num:   func(leaf string) float64 { return lists[leaf][0] },
		list:  func(leaf string) []float64 { return lists[leaf] },
		every: func(leaf string) [][]float64 { return every[leaf] },
		param: func(path string) float64 { return limits[path] },
	})
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", d.leaf, err)
	}
	return n, nil, nil
}

// numbers is the number or the numbers of a leaf, at least one.
func (s subjectView) numbers(leaf string) ([]float64, []string, error) {
	v, missing, err := s.Value(leaf)
	if err != nil || len(missing) > 0 {
		return nil, missing, err
	}
	switch v := v.(type) {
	case int64:
		return []float64{float64(v)}, nil, nil
	case []int64:
		all := make([]float64, len(v))
		for i, n := range v {
			all[i] = float64(n)
		}
		if len(all) > 0 {
			return all, nil, nil
		}
	}
	return nil, nil, fmt.Errorf("%s is not a number", leaf)
}

// everyValue is a leaf of every item of its scope.
func (s subjectView) everyValue(leaf string) ([][]float64, []string, error) {
	scope, _ := scopeOfLeaf(leaf)
	list := listOf(scope)
	if _, ok := s.bore.facts[list]; !ok {
		return nil, []string{list}, nil
	}
	var all [][]float64
	var missing []string
	for _, item := range s.bore.subjects(scope) {
		n, gap, err := subjectView{s.view, scope, item}.numbers(leaf)
		if err != nil {
			return nil, nil, err
		}
		all, missing = append(all, n), append(missing, gap...)
	}
	return all, missing, nil
}

func (v *view) limits(paths []string) (map[string]float64, error) {
	limits := make(map[string]float64, len(paths))
	for _, path := range paths {
		p, ok := v.cat.Param(path)
		if !ok {
			return nil, fmt.Errorf("the rules do not set %s", path)
		}
		limits[path] = float64(p.Value.Base())
	}
	return limits, nil
}
