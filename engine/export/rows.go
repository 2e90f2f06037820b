package export

import "time"

// The row types are the one definition of what an export has: the name of a
// column stands in the tag "parquet", what it means in "means", the unit of a
// number in "unit". Columns are only ever added, at the end.

// RecordRow is one record of the ledger.
type RecordRow struct {
	Record       int64     `parquet:"record" means:"number of the record, from 0; the index of its leaf in the hash tree"`
	Leaf         string    `parquet:"leaf" means:"RFC 6962 leaf hash of the exact bytes: SHA-256 over a zero byte and them" unit:"hex"`
	Kind         string    `parquet:"kind" means:"what the record is about: start, rules, person, open, answer, undo, report, hold, waive, sign, close, refused, shown, moved, reason"`
	Logged       time.Time `parquet:"logged,timestamp(nanosecond)" means:"when the store wrote it; never earlier than the record before" unit:"UTC"`
	At           time.Time `parquet:"at,timestamp(nanosecond)" means:"the clock that the rules were given" unit:"UTC"`
	Bore         string    `parquet:"bore" means:"id of the bore; empty where the record belongs to none"`
	Version      int64     `parquet:"version" means:"1 for the bore's first record, then one more each; 0 without a bore"`
	Jurisdiction string    `parquet:"jurisdiction" means:"whose rules hold where the bore is; empty for those of the base alone"`
	Person       string    `parquet:"person" means:"id of who spoke; names are kept outside the ledger"`
	Role         string    `parquet:"role" means:"role that person spoke in"`
	Channel      string    `parquet:"channel" means:"where it came from: terminal, slack, ..."`
	Language     string    `parquet:"language" means:"language the question was shown in"`
	Typed        string    `parquet:"typed" means:"the whole message as typed"`
	Why          string    `parquet:"why" means:"reason of a hold, a waiver, a refusal or a report"`
	Event        string    `parquet:"event" means:"for a report: what happened"`
	Check        string    `parquet:"waived_check" means:"for a waiver: which finding was let through"`
	State        string    `parquet:"state" means:"the bore's state after the record: open, released, held, closed; empty as before"`
	Void         string    `parquet:"void" means:"why a release that stood holds no longer"`
	Rules        string    `parquet:"rules" means:"rule revision the findings were made with" unit:"hex"`
	Exact        string    `parquet:"exact" means:"the exact bytes of the record, which the tree hashes; every other column is read from them"`
}

// FactRow is one value that was given.
type FactRow struct {
	Record  int64  `parquet:"record" means:"record it was given in"`
	Place   int64  `parquet:"place" means:"place within the record, from 0"`
	Bore    string `parquet:"bore" means:"id of the bore"`
	Ask     string `parquet:"ask" means:"question it answers"`
	Subject string `parquet:"subject" means:"exact hertz of a frequency or name of a crossing it is for; empty for the bore"`
	Kind    string `parquet:"kind" means:"kind of quantity"`
	Typed   string `parquet:"typed" means:"the words it was read from"`
	Value   string `parquet:"value" means:"exact number in the base unit, as a whole number or a fraction, or the text"`
	Unit    string `parquet:"unit" means:"base unit of value: um micrometres, hz hertz, mv millivolts, s seconds, ppm parts per million, day days since 1970-01-01, mdb thousandths of a decibel"`
	Number  string `parquet:"number" means:"value as a decimal for sums and charts, with 6 places where it is a fraction; empty for a text" unit:"base unit"`
	Items   string `parquet:"items" means:"for lists: the items, as a JSON array; value is then their number"`
	From    string `parquet:"carried_from" means:"bore that it was carried over from"`
}

// FindingRow is one finding that changed.
type FindingRow struct {
	Record  int64  `parquet:"record" means:"record that changed it"`
	Bore    string `parquet:"bore" means:"id of the bore"`
	Check   string `parquet:"check_id" means:"the check"`
	Subject string `parquet:"subject" means:"exact hertz of a frequency or name of a crossing it is for; empty for the bore"`
	Status  string `parquet:"status" means:"what it came to: pass, exempt, fail, needs, broken, waived; gone when its subject is no more"`
}

// ReleaseRow is one release.
type ReleaseRow struct {
	Record int64     `parquet:"record" means:"record that released the bore"`
	Bore   string    `parquet:"bore" means:"id of the bore"`
	Until  time.Time `parquet:"until,timestamp(nanosecond)" means:"when it ends at the latest" unit:"UTC"`
	Checks int64     `parquet:"findings" means:"findings that had to hold" unit:"findings"`
	Input  string    `parquet:"input" means:"SHA-256 of what the rules were given" unit:"hex"`
	Waived string    `parquet:"waived" means:"those of the findings that were waived, as a JSON array"`
	Loose  string    `parquet:"loose" means:"limits that a local pack had loosened, as a JSON array"`
}

// SignerRow is one signer of a release.
type SignerRow struct {
	Record int64  `parquet:"record" means:"record of the release"`
	Place  int64  `parquet:"place" means:"order of signing, from 0"`
	Bore   string `parquet:"bore" means:"id of the bore"`
	Person string `parquet:"person" means:"id of who signed"`
	Role   string `parquet:"role" means:"role that person signed in"`
}

// FileRow is one picture or file that was given as evidence.
type FileRow struct {
	Record int64  `parquet:"record" means:"record it was given in"`
	Place  int64  `parquet:"place" means:"place within the record, from 0"`
	Bore   string `parquet:"bore" means:"id of the bore"`
	Sum    string `parquet:"sum" means:"SHA-256 of its bytes, which are kept beside the ledger" unit:"hex"`
	Size   int64  `parquet:"size" means:"its length" unit:"bytes"`
	Type   string `parquet:"type" means:"media type, as the bytes themselves show it"`
	Name   string `parquet:"name" means:"as it was called where it came from; a text, never a path to open"`
}

// LedgerRow says which ledger this is a copy of; there is one.
type LedgerRow struct {
	Origin string `parquet:"origin" means:"name of the log"`
	Size   int64  `parquet:"size" means:"records that the checkpoint covers" unit:"records"`
	Root   string `parquet:"root" means:"root of the hash tree over them" unit:"base64"`
	Note   string `parquet:"note" means:"the checkpoint as it is signed, a signed note"`
}

// DictionaryRow says what one column means.
type DictionaryRow struct {
	Table   string `parquet:"table_name" means:"table or file that has the column"`
	Column  string `parquet:"column_name" means:"its name"`
	Type    string `parquet:"type" means:"whole number, text or time"`
	Meaning string `parquet:"meaning" means:"what it says"`
	Unit    string `parquet:"unit" means:"unit of a number, or how a text is written; empty where there is none"`
}
