package ledger

// Fault is one thing that is wrong with a ledger.
type Fault struct {
	Seq  int64  // record it is about, -1 if it is about none
	Code string // one of the codes below
	Say  string // one sentence
}

// The codes of faults. They keep their meaning; more may be added.
const (
	FaultUnreadable = "unreadable" // the store gives an error
	FaultGap        = "gap"        // records are not there
	FaultBeyond     = "beyond"     // records after the size the checkpoint names
	FaultDecode     = "decode"     // the bytes are not a record
	FaultSeq        = "seq"        // the record says it is another one
	FaultLeaf       = "leaf"       // record and stored leaf hash do not match
	FaultNode       = "node"       // a stored subtree hash is wrong
	FaultHash       = "hash"       // stored hashes are missing or too many
	FaultRoot       = "root"       // the records do not add up to the signed root
	FaultCheckpoint = "checkpoint" // the checkpoint is not signed by the log
	FaultKey        = "key"        // an idempotency key comes twice
	FaultTime       = "time"       // the log's time runs backwards
	FaultStart      = "start"      // the first record, and only it, starts the log
	FaultLogKey     = "logkey"     // the log has another key than the caller holds
	FaultVer        = "ver"        // versions of a bore do not count 1, 2, 3
	FaultUnknown    = "unknown"    // a person, revision or record that was not there before
	FaultRole       = "role"       // a person acts in a role that was not given to them
	FaultFinding    = "finding"    // findings that contradict each other
	FaultWaive      = "waive"      // waived without a reason on record, or never to be waived
	FaultState      = "state"      // a state that cannot follow
	FaultRelease    = "release"    // released although a check did not hold
	FaultMissing    = "missing"    // released although a check had no finding
	FaultSigners    = "signers"    // released without two different people and roles
	FaultSign       = "sign"       // a signature that does not cover what is released
	FaultRules      = "rules"      // released under rules that were not in force
	FaultBlob       = "blob"       // something a record names by hash is not there
	FaultEvidence   = "evidence"   // a file that was given as evidence is missing or was changed
	FaultPrivate    = "private"    // a private value is not the one committed to
	FaultIndex      = "index"      // an index entry is missing, extra or wrong
	FaultCopy       = "copy"       // a copy in other tables says otherwise than the records
	FaultErased     = "erased"     // a name is missing without a record of that, or kept in spite of one
	FaultRestored   = "restored"   // the log says that it was put back at another size than it was
	FaultRotation   = "rotation"   // a new key that the old one has not signed
	FaultHeld       = "held"       // erased under a legal hold
	FaultPin        = "pin"        // a pinned checkpoint cannot be used
	FaultRollback   = "rollback"   // the log is shorter than it once was
	FaultFork       = "fork"       // two logs under one key: the same up to a point, or of the same size
	FaultRewrite    = "rewrite"    // the log is no continuation of anything it is known to have been
)
