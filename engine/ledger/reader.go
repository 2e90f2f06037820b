package ledger

// Row is one stored row: its number and exact bytes.
type Row struct {
	Seq  int64
	Data []byte
}

// Reader is what [Verify] must have. A store that has more also implements
// [HashSource], [IndexSource], [BlobSource], [EvidenceSource] or [PrivateSource], and gets more
// checked; [Summary.Checked] says what was. An error means that the rest cannot
// be read; the rows that come with it still count.
type Reader interface {
	// Records gives at most limit stored records with numbers from on, in
	// order. None and no error is the end. It is called on a goroutine of its own,
	// while other methods are.
	Records(from int64, limit int) ([]Row, error)
	// Checkpoint gives the latest checkpoint, a signed note.
	Checkpoint() ([]byte, error)
}

// HashSource has stored hashes: for each record its leaf hash and then the
// roots of the subtrees it completes, 32 bytes each. Put in a row, that is the
// layout of tlog.StoredHashes.
type HashSource interface {
	// Hashes is paged like Reader.Records.
	Hashes(from int64, limit int) ([]Row, error)
}

// The indexes of a store. Key and Num of an entry depend on the index.
const (
	IndexKey      = "key"      // Key: idempotency key
	IndexBore     = "bore"     // Key: bore, Num: version
	IndexLine     = "line"     // Key: bore; Line is set, Seq is its last record
	IndexRecent   = "recent"   // Key: bore; Seq is its last record
	IndexPerson   = "person"   // Num: the record, again; it introduces somebody, or erases a name
	IndexRotation = "rotation" // Num: the record, again
	IndexRules    = "rules"    // Num: the record, again
	IndexTerm     = "term"     // Key: field, zero byte, value; see TermSource
)

// IndexEntry is one entry of one index: where it says a record is.
type IndexEntry struct {
	Index string
	Key   string
	Num   int64
	Seq   int64
	Line  *BoreLine
}

// IndexSource has indexes over the records. Nothing but this comparison covers
// them: they are not in the tree, and the file has no checksums of its own.
type IndexSource interface {
	// Index calls fn for every entry of every index, in any order.
	Index(fn func(IndexEntry)) error
}

// BlobSource has the larger things that records name by SHA-256.
type BlobSource interface {
	// Blob gives the bytes stored under a hex SHA-256, or nil for none.
	Blob(sum string) ([]byte, error)
}

// EvidenceSource has the files that were given as evidence.
type EvidenceSource interface {
	// Evidence reads the file that was kept under f's SHA-256, all of it but never
	// much of it at once, and gives an error that says in words what is wrong with
	// it; nil when it is there and whole.
	Evidence(f File) error
}

// PrivateSource has the values that records only commit to.
type PrivateSource interface {
	// Value gives what is stored for an id. Absent (erased) is not a fault.
	Value(id string) (p Private, ok bool, err error)
}
