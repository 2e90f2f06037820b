package paper

import (
	"time"

	"firstrod/engine/ledger"
)

// Schema is the version of the JSON. It changes only if a field changes its meaning.
const Schema = 1

// Page is a size of paper.
type Page string

// The sizes.
const (
	Letter Page = "letter" // 8.5 by 11 in
	A4     Page = "a4"     // 210 by 297 mm, ISO 216
)

// Pages lists them.
func Pages() []Page { return []Page{Letter, A4} }

// Document is one bore as its last record left it.
type Document struct {
	Schema  int       `json:"schema"`
	Lang    string    `json:"lang"` // language of everything "shown", "en" or "es"
	Bore    string    `json:"bore"`
	Title   string    `json:"title"` // as the crew calls it
	Place   string    `json:"place"`
	Zone    string    `json:"zone"`    // IANA time zone of the site
	State   string    `json:"state"`   // open, released, held, closed
	Verdict string    `json:"verdict"` // unfinished, blocked, signable, ready, held, closed
	Void    string    `json:"void,omitempty"`
	Why     string    `json:"why,omitempty"` // reason of the last hold or report
	Opened  time.Time `json:"opened"`
	AsOf    time.Time `json:"as_of"`   // time of the last record
	Judged  time.Time `json:"judged"`  // the clock that the rules were asked by
	Version int64     `json:"version"` // records of this bore
	Last    int64     `json:"last"`    // the ledger's number of the last of them

	Rules       Rules       `json:"rules"`
	Gear        []Value     `json:"gear"`
	Signatures  []Signature `json:"signatures"`
	Release     *Release    `json:"release"` // the last one; null for none
	Waived      []Waiver    `json:"waived"`
	Loosened    []Loosened  `json:"loosened"`
	Limits      []Limit     `json:"limits"`
	Frequencies []Frequency `json:"frequencies"`
	Crossings   []Crossing  `json:"crossings"`
	Reamer      *Quantity   `json:"reamer"`
	LineDoubt   *Quantity   `json:"line_doubt"` // how far a line may be from where it was seen
	Findings    []Finding   `json:"findings"`
	Values      []Value     `json:"values"`
	Timeline    []Entry     `json:"timeline"`
	Files       []File      `json:"files"`
	Checkpoint  Checkpoint  `json:"checkpoint"`
	Stored      []string    `json:"stored"` // the bore's records, exactly as stored

	Paper Page `json:"-"` // for PDF; "" is Letter
}

// Rules is what the bore was judged by.
type Rules struct {
	Revision string `json:"revision"`        // of the last record
	Shown    string `json:"shown"`           // revision of the limits and texts printed here
	Engine   string `json:"engine"`          // rule engine and version
	Place    string `json:"place,omitempty"` // jurisdiction of the narrowest local pack
	Packs    []Pack `json:"packs,omitempty"` // base first

	Jurisdiction string   `json:"jurisdiction,omitempty"` // whose codes hold for the bore; "": nobody's were named
	Notices      []string `json:"notices,omitempty"`      // what a crew must be told of these rules
}

// Pack is one layer of the rules.
type Pack struct {
	Code  string `json:"code"`
	Title string `json:"title"`
}

// Quantity is one value in its base unit and as people read it.
type Quantity struct {
	Base  int64  `json:"base"`
	Unit  string `json:"unit"` // um, hz, ppm, mdb, ...
	Shown string `json:"shown"`
}

// Person is who did something.
type Person struct {
	ID     string     `json:"id"`
	Name   string     `json:"name,omitempty"` // empty when it is not known, or not any more
	Role   string     `json:"role"`
	Erased *time.Time `json:"erased,omitempty"` // when the name was erased
}

// Value is one answer that stands.
type Value struct {
	Key    string    `json:"key"`
	Area   string    `json:"area"`
	Label  string    `json:"label"`
	Kind   string    `json:"kind"`
	Exact  string    `json:"exact"` // exact number in base units, or the text
	Unit   string    `json:"unit,omitempty"`
	Items  []string  `json:"items,omitempty"`
	Shown  string    `json:"shown"`
	Typed  string    `json:"typed"`
	From   string    `json:"from,omitempty"` // the bore it was carried over from
	By     Person    `json:"by"`
	At     time.Time `json:"at"`
	Record int64     `json:"record"`
}

// Signature is one signature under the last release, or under the board as it is.
type Signature struct {
	By      Person    `json:"by"`
	At      time.Time `json:"at"`
	Meaning string    `json:"meaning"`
	Input   string    `json:"input"` // hex SHA-256 of what was signed
	Record  int64     `json:"record"`
}

// Release is the last release of the bore, whether it stands or not.
type Release struct {
	At     time.Time `json:"at"`
	Until  time.Time `json:"until"`
	Checks int       `json:"checks"`
	Input  string    `json:"input"`
	Rules  string    `json:"rules"`
	Record int64     `json:"record"`
	Stands bool      `json:"stands"`
}

// Waiver is a rule that did not hold and was let through.
type Waiver struct {
	Finding string    `json:"finding"`
	Title   string    `json:"title"`
	Why     string    `json:"why"`
	By      Person    `json:"by"`
	At      time.Time `json:"at"`
	Record  int64     `json:"record"`
}

// Loosened is a limit or a rule that a local pack makes less strict.
type Loosened struct {
	Name  string `json:"name"`
	Title string `json:"title,omitempty"` // in words, where there are any
	Pack  string `json:"pack"`
	Was   string `json:"was"` // as people read it; empty for a rule
	Is    string `json:"is"`
	How   string `json:"how,omitempty"` // of a rule: off, waivable
	Why   string `json:"why"`
	By    string `json:"by"`
	Until string `json:"until"` // last day, 2026-11-30
}

// Limit is one number of the rules.
type Limit struct {
	Name    string `json:"name"`
	Title   string `json:"title,omitempty"` // in words; packs of long ago have none
	Exact   string `json:"exact"`
	Kind    string `json:"kind"`
	Unit    string `json:"unit,omitempty"`
	Shown   string `json:"shown"`
	Pack    string `json:"pack"`           // that gave it
	Base    string `json:"base,omitempty"` // of the base pack, as people read it, where it is another
	Source  string `json:"source"`
	Release bool   `json:"release"` // a check in front of the release reads it
	Loose   bool   `json:"loose"`
}

// Frequency is what the readings on one frequency were worth.
type Frequency struct {
	Hertz   string     `json:"hertz"`
	Shown   string     `json:"shown"`
	Marks   []Mark     `json:"marks"`
	Plan    *Quantity  `json:"plan"`    // planned depth
	Doubt   *Quantity  `json:"doubt"`   // what a reading there may be off by
	Deepest *Quantity  `json:"deepest"` // down to where a reading stays within tolerance
	Margin  *Quantity  `json:"margin"`  // signal over background at the planned depth
	Signal  *Quantity  `json:"signal"`  // at the baseline
	Earlier []Constant `json:"earlier,omitempty"`
}

// Constant is the signal the same pair gave at the baseline on an earlier bore.
type Constant struct {
	Bore string    `json:"bore"`
	At   time.Time `json:"at"`
	DB   float64   `json:"db"`
}

// Mark is one reading over a known distance.
type Mark struct {
	Which     string   `json:"which"` // near, far
	True      Quantity `json:"true"`
	Reading   string   `json:"reading"` // as people read it; of several readings all
	Error     Quantity `json:"error"`   // less than zero: short
	Expanded  Quantity `json:"expanded"`
	Tolerance Quantity `json:"tolerance"`
	Status    string   `json:"status"` // of the finding
}

// Crossing is one crossed line.
type Crossing struct {
	Name      string    `json:"name"`
	Station   *Quantity `json:"station"`
	LineDepth *Quantity `json:"line_depth"`
	LineSize  *Quantity `json:"line_size"`
	BoreDepth *Quantity `json:"bore_depth"`
	Available *Quantity `json:"available"` // planned, from centre to centre
	Needed    *Quantity `json:"needed"`
	Doubt     *Quantity `json:"doubt"`
	Contact   *Quantity `json:"contact"` // chance that reamer and line touch
	Exposed   bool      `json:"exposed"` // somebody has seen the line
	Status    string    `json:"status"`
}

// Finding is how one rule stands.
type Finding struct {
	Check   string `json:"check"`
	Subject string `json:"subject,omitempty"`
	Area    string `json:"area"`
	Gate    string `json:"gate"`
	Title   string `json:"title"`
	Status  string `json:"status"`
	Stop    string `json:"stop,omitempty"` // what does not hold, with the numbers
	Open    bool   `json:"open,omitempty"` // only a signature is missing
}

// Entry is one record in words.
type Entry struct {
	Record int64      `json:"record"`
	At     time.Time  `json:"at"`
	By     *Person    `json:"by"`
	Kind   string     `json:"kind"`
	From   string     `json:"from,omitempty"`
	Event  string     `json:"event,omitempty"`
	Given  []Given    `json:"given,omitempty"`
	Again  []string   `json:"again,omitempty"` // to be given again
	Rule   string     `json:"rule,omitempty"`  // that was waived
	Moved  string     `json:"moved,omitempty"` // the jurisdiction that the bore has from here on
	Fails  []string   `json:"fails,omitempty"` // rules that hold no longer
	Why    string     `json:"why,omitempty"`
	Void   string     `json:"void,omitempty"`
	State  string     `json:"state,omitempty"` // where it changed
	Until  *time.Time `json:"until,omitempty"` // of a release
	Files  int        `json:"files,omitempty"`
}

// Given is one value in a record.
type Given struct {
	Label string `json:"label"`
	Shown string `json:"shown"`
}

// File is evidence that was given.
type File struct {
	ledger.File
	By     Person    `json:"by"`
	At     time.Time `json:"at"`
	Record int64     `json:"record"`
}

// Checkpoint is the signed note that the ledger had made when this was built.
type Checkpoint struct {
	Note   string `json:"note"`
	Origin string `json:"origin"`
	Size   int64  `json:"size"`
	Root   string `json:"root"`
	Short  string `json:"short"`
}
