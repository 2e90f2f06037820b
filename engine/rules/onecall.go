package rules

import (
	"encoding/csv"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// toleranceZone is the limit that the one-call table of the base sets, state by
// state: how far to each side of a line nobody digs with a machine.
const toleranceZone = "crossings.tolerance_zone"

// oneCallCode is what the table is called as a layer.
const oneCallCode = "one-call"

// oneCalls is one_call.csv: a line "# version DATE", a heading, a row per state.
type oneCalls struct {
	file    string
	version string
	rows    map[string]oneCall // by jurisdiction, "US-VA"
}

// oneCall is what is known of the width in one state.
type oneCall struct {
	line   int
	raw    string // the row, for the revision
	state  string
	inches []int64 // more than one where sources differ, none where nobody knows
	half   bool    // the law adds half of the line's width
	status string
	source string
}

// oneCallStatuses says how well a width is known. Only with one that begins with
// "confirmed" the width is used as it stands.
func oneCallStatuses() []string {
	return []string{"confirmed", "confirmed-secondary", "confirmed-older", "secondary", "memory", "memory-low", "conflict", "unknown"}
}

var (
	versionLine = regexp.MustCompile(`^# version (\d{4}-\d{2}-\d{2})\r?$`)
	stateCode   = regexp.MustCompile(`^[A-Z]{2}$`)
	someInches  = regexp.MustCompile(`^([1-9][0-9]{0,2}( or [1-9][0-9]{0,2})*)?$`)
)

func readOneCalls(name string, text []byte, out *faults) *oneCalls {
	t := &oneCalls{file: name, rows: map[string]oneCall{}}
	first, rest, _ := strings.Cut(string(text), "\n")
	m := versionLine.FindStringSubmatch(first)
	if m == nil {
		out.add(name, 1, "the table begins with its version, as in: # version 2026-11-25")
		return t
	}
	if _, err := quantity.ParseHuman(quantity.Date, m[1]); err != nil {
		out.add(name, 1, "%q is not a date", m[1])
	}
	t.version = m[1]
	r := csv.NewReader(strings.NewReader(rest))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		out.list = append(out.list, fault{file: name, say: "this is not a table with commas between its columns", err: err})
		return t
	}
	heading := []string{"state", "inches", "half_line", "status", "source"}
	if len(rows) == 0 || !slices.Equal(rows[0], heading) {
		out.add(name, 2, "the columns are %s", strings.Join(heading, ","))
		return t
	}
	for i, row := range rows[1:] {
		t.row(i+3, row, out)
	}
	return t
}

func (t *oneCalls) row(line int, row []string, out *faults) {
	if len(row) != 5 {
		out.add(t.file, line, "a row has 5 columns, and this one has %d", len(row))
		return
	}
	o := oneCall{line: line, raw: strings.Join(row, ","), state: "US-" + row[0], half: row[2] == "yes", status: row[3], source: row[4]}
	_, twice := t.rows[o.state]
	switch {
	case !stateCode.MatchString(row[0]):
		out.add(t.file, line, "%q is not a state; write its two letters, as in VA", row[0])
	case twice:
		out.add(t.file, line, "the state %s stands here twice", row[0])
	case !someInches.MatchString(row[1]):
		out.add(t.file, line, "%q is not a width in inches, such as 24, or \"18 or 24\" where sources differ", row[1])
	case row[2] != "yes" && row[2] != "no":
		out.add(t.file, line, "half_line is yes or no, and not %q", row[2])
	case !slices.Contains(oneCallStatuses(), row[3]):
		out.add(t.file, line, "%q is not one of %s%s", row[3], oneOf(oneCallStatuses()), near(row[3], oneCallStatuses()))
	case (row[1] == "") != (row[3] == "unknown"), strings.Contains(row[1], " ") != (row[3] == "conflict"):
		out.add(t.file, line, "the width %q does not go with the status %q", row[1], row[3])
	case hidden(row[4]) != 0:
		out.add(t.file, line, "the source has a character in it that is not seen; write it anew without")
	case strings.TrimSpace(row[4]) == "":
		out.add(t.file, line, "a row must say where it comes from")
	default:
		for _, s := range strings.Split(row[1], " or ") {
			if n, err := strconv.ParseInt(s, 10, 64); err == nil {
				o.inches = append(o.inches, n)
			}
		}
		t.rows[o.state] = o
	}
}

// fits holds the table to the limit that it sets: in the base it must be the
// widest, for it holds where nobody knows the law.
func (t *oneCalls) fits(zone *engine.Param, out *faults) {
	if zone == nil || zone.Value.Kind() != quantity.Length {
		out.add(t.file, 0, "this table sets the limit %s, and there is no such limit", toleranceZone)
		return
	}
	for _, state := range sortedKeys(t.rows) {
		row := t.rows[state]
		if len(row.inches) > 0 && slices.Max(row.inches)*inch > zone.Value.Base() {
			out.add(t.file, row.line, "%d in is more than the limit %s of the base, which holds where nobody knows", slices.Max(row.inches), toleranceZone)
		}
	}
}

// inch is an inch in micrometres: 25.4 mm exactly.
const inch = 25_400

// width is the width to use: that of the law where it was confirmed, the widest
// that a source names where they differ, and otherwise the widest of all, which
// the base has. A reason says why it is not simply the law's.
func (o oneCall) width(base quantity.Value) (width quantity.Value, reason engine.Text) {
	of := func(n int64) quantity.Value { return quantity.Of(quantity.Length, n*inch) }
	named := make([]string, len(o.inches))
	for i, n := range o.inches {
		named[i] = strconv.FormatInt(n, 10) + " in"
	}
	switch {
	case o.status == "conflict":
		return of(slices.Max(o.inches)), engine.Text{
			"en": "sources differ (" + strings.Join(named, " or ") + ")",
			"es": "las fuentes no concuerdan (" + strings.Join(named, " o ") + ")",
		}
	case o.status == "unknown":
		return base, engine.Text{"en": "the width of this state is not known", "es": "no se conoce el ancho de este estado"}
	case !strings.HasPrefix(o.status, "confirmed"):
		return base, engine.Text{
			"en": named[0] + " is said to be the law of this state, and nobody has confirmed it (" + o.status + ")",
			"es": named[0] + " sería la ley de este estado, y nadie lo ha confirmado (" + o.status + ")",
		}
	}
	return of(o.inches[0]), nil
}

// notice tells a crew to ask about a width that is not certain.
func notice(zone *engine.Param, place string, reason engine.Text) engine.Text {
	say := func(lang string) string { return quantity.PrintIn(zone.Value, lang, nil, zone.Value) }
	if place != "" {
		place = " (" + place + ")"
	}
	return engine.Text{
		"en": "Hand-dig zone" + place + ": " + say("en") + " to each side of a line is used here, because " + reason["en"] + ". Verify the width with the one-call centre.",
		"es": "Zona de excavación a mano" + place + ": aquí se usan " + say("es") + " a cada lado de una línea, porque " + reason["es"] + ". Verifica el ancho con el centro de una llamada.",
	}
}
