// Package backup is the form of a backup: a plain tar file with the ledger, what
// lies beside it, and a list of SHA-256 sums at its end.
//
// Call [Write] to make one, [Check] to read one through, [Unpack] to take it apart
// into an empty folder. None of them looks into the ledger: whoever puts a backup
// back verifies what [Unpack] gave before using it.
//
// # Form
//
// Regular files only, in this order, with no other names:
//
//	about.json      what this is: form, origin, size and root of the ledger
//	checkpoint.txt  the checkpoint of the moment, a signed note
//	ledger.db       the ledger's file as of that moment
//	mail.db         the mail; may be missing
//	cosigned.txt    the last cosigned checkpoint; may be missing
//	evidence/SUM    files of evidence under their SHA-256
//	log.key         the log's secret key, only where it was asked for
//	SHA256SUMS      sums of all of them, as sha256sum writes and checks it
//
// A backup that ends before its sums was cut short, and is none.
package backup
