// Package proof makes and checks proof files: all that is on record of one bore,
// in one file that can be checked on any machine, without the ledger it came from
// and without trusting who sent it. It touches no disk, no clock and no network.
//
// Call [Write] to make a file and [Check] to check one. [Check] streams every
// fault and says in words what the file proves and what it does not.
//
// # The file
//
// A ZIP archive without compression, times or anything else that could be written
// in two ways: the same parts give the same bytes, and [Check] refuses every other
// spelling of them. Any program that reads ZIP can unpack it. The parts, in the
// order of their names:
//
//	README.txt                 how to check the rest by hand
//	about.json                 format and bore
//	blobs/SHA-256              rule packs in force, and what was signed, byte for byte
//	checkpoint.txt             the log's signed checkpoint, maybe with cosignatures
//	evidence.txt               all files of evidence: SHA-256, bytes, type, name
//	evidence/SHA-256           their bytes, where they were asked for
//	key.txt                    the log's public key, in signed-note form
//	proofs/NUMBER.tlog-proof   that record NUMBER is in the tree (C2SP tlog-proof)
//	records/NUMBER.json        the exact bytes of record NUMBER
//	since/SIZE.checkpoint      an older checkpoint of SIZE records ...
//	since/SIZE.proof           ... and the hashes that prove it is continued
//
// NUMBER and SIZE have ten digits. The records are those of the bore, the one that
// starts the log, those that introduce the people who act in it, and those that
// put rules in force up to its last record.
//
// # What a file cannot show
//
// It has the versions 1 to n of the bore and nothing is missing among them. That
// there is no version n+1 cannot be proved: whoever made the file may have left it
// out, or it may have been written since. And whoever holds the log's key can sign
// another history; a checkpoint kept from earlier ([Options.Pins]) or cosigned by
// somebody else ([Options.Policy]) is what speaks against that.
//
// # Promises
//
// Files of format 1 can be checked by every later version. Fault codes keep their
// meaning.
package proof
