// Package audit answers what is asked about a ledger months later: where to go
// on in a long answer, what happened on a bore, and how often things went well.
//
// Call [Tell] with the records of one bore for its story, [NewTally] for counts
// over many, and [ParseWhen] and [ParseCursor] for what people type. Everything
// here is computed from records alone; nothing is read or kept.
//
// # What an answer proves
//
// A checkpoint and a record's number let anybody check that the record is in the
// ledger. That a filter left nothing out is not proved by the tree: it rests on
// the index, which a verification compares with the records, or on every record
// having been read.
package audit
