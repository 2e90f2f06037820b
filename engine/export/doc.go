// Package export writes a whole ledger in forms that other programs read: a
// SQLite file, Parquet, CSV and JSON lines.
//
// Call [SQLite], [Parquet], [CSV] or [JSONL] with a [ledger.Reader]. All of them
// have the columns of [Tables], which are the fields of this package's row types
// and nothing else; [Dictionary] says what each one means. [OpenSQLite] reads a
// SQLite file back as a ledger.Reader, so that it can be verified like the ledger
// it was made from: it carries the exact bytes of every record, their leaf hashes
// and the checkpoint.
//
// Names of people are kept outside the ledger and are in no export. File names
// are fixed; nothing that anybody typed ever becomes a part of a path.
package export
