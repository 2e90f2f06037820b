package ledger

import "time"

// Version is the record format that this package writes and reads.
const Version = 1

// MaxRecord is the most bytes a record may have. Larger things are blobs, and
// the record holds their SHA-256. The bound is that of C2SP tlog-tiles, whose
// entry bundles give each entry a 16-bit length.
const MaxRecord = 65_535

// The states of a bore.
const (
	StateOpen     = "open"     // values are being gathered
	StateReleased = "released" // ready to drill
	StateHeld     = "held"     // was released or open, and was stopped
	StateClosed   = "closed"   // finished; only refusals may follow
)

// The statuses of a finding. Only pass, exempt and waived hold.
const (
	statusPass   = "pass"
	statusExempt = "exempt"
	statusFail   = "fail"
	statusNeeds  = "needs"
	statusBroken = "broken"
	statusWaived = "waived"
)

// Kind says what a record is about.
type Kind string

// The kinds of record. A kind, once used, keeps its meaning for ever.
const (
	KindStart     Kind = "start"     // the first record: log key and origin
	KindRules     Kind = "rules"     // a rule revision came into force at a place; Blob has the packs' bytes
	KindPerson    Kind = "person"    // a person was introduced, or got a new role
	KindOpen      Kind = "open"      // a bore was opened
	KindAnswer    Kind = "answer"    // one or more facts were given or changed
	KindUndo      Kind = "undo"      // the last answer was taken back
	KindReport    Kind = "report"    // something happened: gear change, hard hit, ...
	KindHold      Kind = "hold"      // a person stopped the bore
	KindWaive     Kind = "waive"     // a failing check was waived, with a reason
	KindSign      Kind = "sign"      // a person signed the board; the last one carries Release
	KindClose     Kind = "close"     // the bore is finished
	KindRefused   Kind = "refused"   // somebody tried what they may not do
	KindShown     Kind = "shown"     // a picture or file was given as evidence
	KindMoved     Kind = "moved"     // the jurisdiction of a bore was set right
	KindRechecked Kind = "rechecked" // rules that came into force, which Refers names, took a release away
	KindReason    Kind = "reason"    // why a hold without a reason was called; Refers names it

	KindErased    Kind = "erased"     // the name of a person was erased
	KindRestored  Kind = "restored"   // the ledger was put back from a backup and goes on from there
	KindRotated   Kind = "rotated"    // the log signs with another key from here on
	KindLegalHold Kind = "legal_hold" // nothing of a bore or a person may be erased, or one voice for ending that
	KindRemoved   Kind = "removed"    // evidence beside the ledger whose time had passed was removed
)

// Record is one ledger entry. Its JSON bytes, exactly as stored, are the leaf
// that the tree hashes; nothing is ever re-encoded to check it.
//
// A record carries cause and effect together: what was said, and every finding
// that it changed. Values are kept as typed and as exact base-unit numbers.
type Record struct {
	V      int       `json:"v"`      // format version, 1
	Seq    int64     `json:"seq"`    // index of this leaf in the log, from 0; set by the store
	Key    string    `json:"key"`    // idempotency key of the delivery that caused it, unique for ever
	Kind   Kind      `json:"kind"`   // what it is about
	Logged time.Time `json:"logged"` // when the store wrote it, UTC, never earlier than the record before; set by the store
	At     time.Time `json:"at"`     // the clock the rules were given, UTC

	Bore string `json:"bore,omitempty"` // id of the bore
	Ver  int64  `json:"ver,omitempty"`  // 1 for the bore's first record, then one more each

	By    *Actor `json:"by,omitempty"`    // who said it
	From  string `json:"from,omitempty"`  // where from: "terminal", ...
	Lang  string `json:"lang,omitempty"`  // language the question was shown in
	Typed string `json:"typed,omitempty"` // the whole message as typed
	Why   string `json:"why,omitempty"`   // reason for a hold (may come later, see KindReason), a waiver, a refusal, a void

	Facts    []Fact              `json:"facts,omitempty"`    // values that hold from here on
	Drops    []string            `json:"drops,omitempty"`    // keys of facts that hold no longer
	Findings map[string][]string `json:"findings,omitempty"` // status -> checks ("area.check" or "area.check@subject") that now have it; changed ones only
	Gone     []string            `json:"gone,omitempty"`     // findings whose subject is no more

	Event string `json:"event,omitempty"` // for KindReport: what happened
	Check string `json:"check,omitempty"` // for KindWaive: which finding
	State string `json:"state,omitempty"` // the bore's state after this record; empty: as before
	Void  string `json:"void,omitempty"`  // why a release that stood holds no longer

	Open    *Opening `json:"open,omitempty"`
	Person  *Person  `json:"person,omitempty"`
	Rules   string   `json:"rules,omitempty"` // rule revision the findings were made with
	Pack    *Pack    `json:"pack,omitempty"`  // for KindRules
	Log     *LogKey  `json:"log,omitempty"`   // for KindStart
	Sign    *Sign    `json:"sign,omitempty"`
	Release *Release `json:"release,omitempty"`
	Refers  []int64  `json:"refers,omitempty"` // records this one is about (undo, sign)
	Shown   []File   `json:"shown,omitempty"`  // for KindShown
	Moved   *Moved   `json:"moved,omitempty"`  // for KindMoved

	Erased    *Erased    `json:"erased,omitempty"`     // for KindErased
	Restored  *Restored  `json:"restored,omitempty"`   // for KindRestored
	Rotated   *Rotated   `json:"rotated,omitempty"`    // for KindRotated
	LegalHold *LegalHold `json:"legal_hold,omitempty"` // for KindLegalHold
	Removed   *Removed   `json:"removed,omitempty"`    // for KindRemoved
}

// Actor is who spoke: a reference to a person, never a name.
type Actor struct {
	ID   string `json:"id"`   // "p_" and random hex
	Role string `json:"role"` // role at the time
}

// Fact is one value that was given.
type Fact struct {
	Key   string   `json:"key"`             // ask, or ask@subject: "near_reading@9500"
	Kind  string   `json:"kind"`            // quantity kind
	Typed string   `json:"typed"`           // the words it was read from
	Value string   `json:"value"`           // exact number in base units ("1460500", "3175/2"), or the text
	Unit  string   `json:"unit,omitempty"`  // base unit of Value, or of each reading in Items: um, hz, mv, s, ppm, day, mdb
	Items []string `json:"items,omitempty"` // for lists: exact hertz of each frequency, name of each crossing, each reading or pitch in the order typed; Value is then the count
	From  string   `json:"from,omitempty"`  // bore it was carried over from, on a word
}

// Opening is what a bore is opened with.
type Opening struct {
	Title string `json:"title"` // as the crew calls it
	Zone  string `json:"zone"`  // IANA time zone of the site
	Place string `json:"place,omitempty"`

	Jurisdiction string `json:"jurisdiction,omitempty"` // "US-VA/alder": whose codes hold; empty: the base alone
}

// Moved is the jurisdiction that a bore has from now on.
type Moved struct {
	Jurisdiction string `json:"jurisdiction"` // empty: the base alone
}

// Person introduces somebody. The name itself is kept outside the ledger.
type Person struct {
	ID     string   `json:"id"`
	Roles  []string `json:"roles"`
	Commit string   `json:"commit"` // hex HMAC-SHA256 of the name under a random salt
}

// File is a picture or file that was given as evidence. Its bytes are kept
// beside the ledger under their SHA-256.
type File struct {
	Sum  string `json:"sum"`            // hex SHA-256 of the bytes
	Size int64  `json:"size"`           // bytes
	Type string `json:"type"`           // media type, as the bytes themselves show it
	Name string `json:"name,omitempty"` // as it was called where it came from
}

// Pack names the rule packs of a revision.
type Pack struct {
	Blob   string      `json:"blob"`   // hex SHA-256 of the stored bytes of all packs
	Engine string      `json:"engine"` // rule engine and version
	Checks []PackCheck `json:"checks"` // every check that must be proved

	Place  string `json:"place,omitempty"`  // jurisdiction that these rules hold in; empty: wherever no others do
	Day    int64  `json:"day,omitempty"`    // a day on which the packs make this revision, in days since 1970-01-01
	Serial int64  `json:"serial,omitempty"` // number of the publication, where there was one
}

// PackCheck is what the verifier must know of a check without any rule engine.
type PackCheck struct {
	ID     string `json:"id"`
	Each   string `json:"each,omitempty"`   // "frequency" or "crossing": one finding for each item
	Gate   string `json:"gate"`             // "release" or "close"
	Fixed  bool   `json:"fixed,omitempty"`  // may never be waived
	Digest string `json:"digest,omitempty"` // hash of the rules and limits it reads
}

// LogKey is how the log signs.
type LogKey struct {
	Origin string `json:"origin"`
	Key    string `json:"key"` // verifier key in signed-note form
}

// Sign is one signature on a board.
type Sign struct {
	Meaning string `json:"meaning"` // what signing says, in words
	Input   string `json:"input"`   // hex SHA-256 of the canonical input that was signed
	Through int64  `json:"through"` // version of the bore that the signer saw: before this record, not before the last change
}

// Release is "ready to drill".
type Release struct {
	Until   time.Time `json:"until"`            // when it ends at the latest
	Signers []Actor   `json:"signers"`          // who signed, in order
	Input   string    `json:"input"`            // hex SHA-256 of the canonical input; bytes are a blob
	Checks  int       `json:"checks"`           // findings that had to hold: one for each release-gate check and item
	Waived  []string  `json:"waived,omitempty"` // those of them that were waived, in any order
	Loose   []string  `json:"loose,omitempty"`  // limits a local pack loosened
}

// Erased says whose name was erased and on what ground, never what it was. By is
// who asked for it.
type Erased struct {
	Person string `json:"person"` // id
	Ground string `json:"ground"` // the legal ground, in words
}

// Restored names the last size that the backup had. It is the number of records
// before this one: whoever holds a checkpoint of more knows that some are lost.
type Restored struct {
	Size int64  `json:"size"`
	Root string `json:"root"` // over them, base64
}

// Rotated names the key that the log signs with from this record on. Note is the
// text of [Rotation], signed with both the old key and the new one.
type Rotated struct {
	Key  string `json:"key"`  // verifier key in signed-note form
	Note string `json:"note"` // a signed note
}

// LegalHold is about one bore or one person. It ends when two different people
// have each released it.
type LegalHold struct {
	Bore    string `json:"bore,omitempty"`
	Person  string `json:"person,omitempty"`
	Release bool   `json:"release,omitempty"`
}

// Removed names evidence whose bytes were removed. The records that name it stay.
type Removed struct {
	Bore string   `json:"bore"`
	Sums []string `json:"sums"` // hex SHA-256
	Rule string   `json:"rule"` // which time had passed, in words
}

// Entry is a record on its way into the log, with what is stored beside it in
// the same transaction.
type Entry struct {
	Record  Record
	Blobs   [][]byte  // stored under their SHA-256
	Private []Private // values the record only commits to
	Forget  []string  // ids of private values to delete
}

// BoreLine is one line of a list of bores.
type BoreLine struct {
	Bore   string    // id
	Title  string    // as the crew calls it
	State  string    // one of the states
	Ver    int64     // version of the bore
	Last   int64     // index of its last record
	Logged time.Time // when that was written
	Trail  Trail     // what its next record is found by; zero where the index of terms is behind
}

// Private is a value kept beside the log behind a salted commitment.
type Private struct {
	ID    string // what it belongs to, a person's id
	Salt  []byte // 32 random bytes
	Value string
}

// Short is the checkpoint of the receipt as people read it out, see
// [Checkpoint.Short]; empty where there is none.
func (r Receipt) Short() string {
	c, err := NoteCheckpoint([]byte(r.Note))
	if err != nil {
		return ""
	}
	return c.Short()
}

// Receipt says where an entry went.
type Receipt struct {
	Seq      int64
	Leaf     [32]byte // RFC 6962 leaf hash of the exact bytes
	Note     string   // checkpoint that covers it, a signed note; not for a repeated entry
	Repeated bool     // the key was known: this is the first delivery's receipt
}
