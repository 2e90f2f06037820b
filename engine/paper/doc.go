// Package paper makes of a bore's board and records the record that an owner
// files: a PDF to print, a page of HTML, or JSON.
//
// Call [Build] with a [Source], then [PDF], [HTML] or [JSON]. A [Document] is plain
// data: [Parse] reads one back from its JSON, and the same document gives the same
// bytes in each form, every time. [Seal.String] is what stands in the square code on
// the last page, [ParseSeal] reads it back, and [Seal.Check] holds it against
// records.
//
// # The JSON
//
// It is a [Document], one object, indented; the names of its fields are those in the
// struct tags of this package, and the comments there say what each one means.
// Fields are only ever added. Every measured value stands there as a whole number in
// its base unit and beside it as people read it, in the language under "lang". Times
// are UTC as RFC 3339 writes it. Under "stored" are the bore's records as strings,
// exactly the bytes of the ledger's leaves: a reader in fifteen years needs SHA-256
// and nothing of this program to hold them against a checkpoint.
//
// # The square code
//
// It holds lines of plain text, a word and what it is:
//
//	firstrod record 1
//	origin firstrod.local/5f2c9a1e77aa03b4
//	size 55
//	root gl3Nb3Scgebrl7MSqoCt7wqXEJQu2cPSNn1pHmPHulQ=
//	bore OR-4
//	version 52
//	last 54
//	sum 1b4f0e98...
//
// Origin, size and root are those of the signed checkpoint, version counts the
// bore's records, last is the ledger's number of the last of them, and sum is the
// hex SHA-256 over the bore's records as stored, in order, a newline behind each.
//
// # Promises
//
// Words that people typed are never trusted: what cannot be seen, what turns the
// direction of writing, and in the PDF what its letters do not have, is shown as
// [U+202E], and the longest word is broken before the edge of the page. Nothing is
// told by colour. There is no date in a file but those of the records.
//
// This is the only package that imports the PDF and the QR library.
package paper
