// Package ledger is the record format, the hash tree over it, the signed
// checkpoints, and the verifier. It touches no disk, no clock and no network.
//
// Call [Verify] to check a ledger: it streams every fault and needs nothing
// but a [Reader]. Call [Encode] and [Decode] for records, [Checkpoint.Sign] and
// [OpenCheckpoint] for checkpoints, [NewKey] for a fresh log key.
//
// # Formats
//
// A record is one JSON object ([Record]) without any white space. Its bytes,
// exactly as stored, are a leaf of an RFC 6962 Merkle tree: the leaf hash is
// SHA-256(0x00 || bytes), a node is SHA-256(0x01 || left || right). The bytes
// are encoded once and never again; a verifier hashes what is stored.
//
// A checkpoint is a signed note (C2SP signed-note and tlog-checkpoint):
//
//	firstrod.local/5f2c9a1e77aa03b4
//	1274
//	n3p3wSk6...base64 of the root...
//
//	— firstrod.local/5f2c9a1e77aa03b4 base64 of key hash and Ed25519 signature
//
// # What a record may mean
//
// The verifier follows each bore from its records, without any rule engine, and
// wants of them:
//
//   - the first record of a bore, and no other, is of kind open and sets a
//     state; versions count 1, 2, 3; after close only refusals follow
//   - everybody in By was introduced by a person record, with the role used
//   - every finding of the status waived was waived by a record with a reason,
//     and had no other status since
//   - a signature says over which input, and which version of the bore the
//     signer saw; anything that happens on the bore afterwards, but for another
//     signature or a refusal, makes it void, and so does the end of a release
//   - a release is a signature itself, the last of at least two by different
//     people in different roles over the same input
//   - it is made under the rules in force, and for each of their checks with
//     the gate "release" there is a finding that holds: one for each item of
//     the list fact "frequencies" or "crossings" when the check is for each of
//     those
//   - a bore stays released only while no such finding turns, and nobody stops it
//
// # Promises
//
// Fields are only ever added to a record, with omitempty and at the end of
// their struct, so that old bytes still encode to themselves. A kind, a fault
// code and a state keep their meaning.
//
// What a log alone cannot show: somebody who holds the log key can rewrite all
// of it. That is what pins are for (see [Options.Pins]): a checkpoint that was
// sent to the crew, kept by anybody, finds a rewritten or shortened log.
package ledger
