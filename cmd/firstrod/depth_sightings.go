package main

import (
	"cmp"
	"fmt"
	"strings"

	"firstrod/engine/depth"
)

// sightings are the readings of a table by frequency and mark, and where in the
// table each part of the evidence came from.
type sightings struct {
	t     *table
	bands []depth.Band
	lines map[string]string // from the engine's names, such as Bands[0].Marks[1]
	found map[string]int    // frequency, or frequency and mark: its index
}

// sightings reads a table of readings; size is the metres in its unit.
func (a *app) sightings(path string, size float64) (*sightings, error) {
	t, err := a.readTable(path, "y", "x")
	if err != nil {
		return nil, err
	}
	s := &sightings{t: t, lines: map[string]string{}, found: map[string]int{}}
	for row := range t.rows {
		if err := s.add(row, size); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func (s *sightings) add(row int, size float64) error {
	x, errX := s.t.number(row, "x")
	y, errY := s.t.number(row, "y")
	fresh, errFresh := s.t.yes(row, "fresh")
	if err := cmp.Or(errX, errY, errFresh); err != nil {
		return err
	}
	name, i := s.band(row)
	band := &s.bands[i]
	line := fmt.Sprintf("%s line %d", s.t.name, s.t.lines[row])
	key := fmt.Sprintf("%d/%g/%t", i, x, fresh)
	j, known := s.found[key]
	if !known {
		j = len(band.Marks)
		s.found[key] = j
		band.Marks = append(band.Marks, depth.Sight{True: x * size, Fresh: fresh})
		s.lines[fmt.Sprintf("%s.Marks[%d].True", name, j)] = line + ", x"
		s.lines[fmt.Sprintf("%s.Marks[%d].Readings", name, j)] = line + ", readings of this mark"
	}
	mark := &band.Marks[j]
	s.lines[fmt.Sprintf("%s.Marks[%d].Readings[%d]", name, j, len(mark.Readings))] = line + ", y"
	mark.Readings = append(mark.Readings, y*size)
	return s.facts(row, name, line, band)
}

// band is the frequency of a row, made when it is met first, and its name in the
// evidence.
func (s *sightings) band(row int) (name string, i int) {
	frequency := ""
	if s.t.has("frequency") {
		frequency = s.t.text(row, "frequency")
	}
	i, known := s.found["="+frequency]
	if !known {
		i = len(s.bands)
		s.found["="+frequency] = i
		s.bands = append(s.bands, depth.Band{Name: frequency})
		s.lines[fmt.Sprintf("Bands[%d]", i)] = cmp.Or(frequency, s.t.name)
		s.lines[fmt.Sprintf("Bands[%d].Marks", i)] = cmp.Or(frequency, s.t.name) + ", marks"
	}
	return fmt.Sprintf("Bands[%d]", i), i
}

// facts are what a row says about its frequency as a whole.
func (s *sightings) facts(row int, name, line string, band *depth.Band) error {
	var numbers [3]*float64
	for i, column := range []string{"constant", "constant_u", "margin"} {
		if !s.t.has(column) || s.t.text(row, column) == "" {
			continue
		}
		v, err := s.t.number(row, column)
		if err != nil {
			return err
		}
		numbers[i] = &v
	}
	constant, u, margin := numbers[0], numbers[1], numbers[2]
	switch {
	case (constant == nil) != (u == nil):
		return wrong("%s: constant and constant_u go together", line)
	case constant != nil && band.Constant != nil && *band.Constant != (depth.Value{Value: *constant, U: *u}):
		return wrong("%s: constant is another than in a row above", line)
	case margin != nil && band.Margin != nil && *margin != *band.Margin:
		return wrong("%s: margin is another than in a row above", line)
	}
	if constant != nil {
		band.Constant = &depth.Value{Value: *constant, U: *u}
		s.lines[name+".Constant"] = line + ", constant"
		s.lines[name+".Constant.Value"], s.lines[name+".Constant.U"] = line+", constant", line+", constant_u"
	}
	if margin != nil {
		band.Margin = margin
		s.lines[name+".Margin"] = line + ", margin"
	}
	return nil
}

// say is a place of the evidence in the words of the table.
func (s *sightings) say(where string) string {
	if line, ok := s.lines[where]; ok {
		return line
	}
	return where
}

// refused says where in the table the refused field stands.
func (s *sightings) refused(field *depth.FieldError) error {
	if field.Field == "Bands" {
		return wrong("%s, all rows: readings %s", s.t.name, field.Why)
	}
	if line, ok := s.lines[field.Field]; ok {
		return wrong("%s: %s", line, field.Why)
	}
	return field
}

// yes reads a cell that may be missing or empty, which is no.
func (t *table) yes(row int, column string) (bool, error) {
	if !t.has(column) {
		return false, nil
	}
	switch text := strings.ToLower(t.text(row, column)); text {
	case "yes", "si", "sí":
		return true, nil
	case "", "no":
		return false, nil
	default:
		return false, wrong("%s line %d: %s is %s; write yes or no", t.name, t.lines[row], column, quoted(text))
	}
}
