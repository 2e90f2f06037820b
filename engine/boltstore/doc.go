// Package boltstore keeps the ledger in one bbolt file. Nothing else imports
// bbolt.
//
// Call [Open] for a store to work with and [OpenReader] for one to verify. A
// data folder belongs to one process at a time, reading or writing.
//
// # Files
//
//	ledger.db      everything, see layout.go
//	ledger.db.new  a first run that was cut short; the next Open finishes it
//	log.key        the log's secret key, mode 0600
//
// Use a local ext4 or XFS file system. Not a network file system, and not ext4
// with fast_commit before Linux 5.10.94 or 5.15.27.
//
// # What a crash loses, state by state
//
//   - queued: [Store.Append] has not returned. The entry may be in the log or
//     not; ask again with the same key, which never writes twice.
//   - acknowledged: Append has returned without error. The entry, its hashes,
//     its index entries and a checkpoint over it were synced in one
//     transaction. Nothing short of a disk that lies loses it.
//   - a commit failed: it is not known which of two states is on the disk, and
//     going on would make it worse. The store stops for good: every later call
//     is refused, [Store.Failed] closes, and the process should exit. The next
//     Open syncs the file before anything else and checks the head.
//
// # Questions
//
// [Store.Find] answers from the indexes: a list of record numbers for each term
// (ledger.Terms), and where several must hold, the numbers that are in all of
// their lists, found by jumping from one list to the next. A ledger of before there
// was an index of terms is not indexed when it is opened: Find then reads every
// record, says so, and leaves nothing out; [Store.Reindex] builds the index. The
// index says of how many records it knows, and is written in the transaction of
// the record, so it is never behind by a record or two.
//
// # Damage
//
// bbolt has checksums on its two meta pages and nowhere else. [Open] therefore
// walks the whole page tree first (about 0.2 s for 100,000 records), then checks
// the head of the log: signature, root over the right edge, last record. It
// refuses a file with one damaged meta page, which bbolt would take back by a
// transaction without a word. There is no repair here: a damaged file is
// verified, and replaced from a backup whose checkpoint continues the last one
// that was sent out.
//
// # What the tests show, and what they cannot
//
// Killing the process (kill -9) 20 times under load, and running it into a file
// size limit, lost no acknowledged entry. That says nothing of power cuts: the
// kernel still has everything a killed process wrote, synced or not, and a store
// that never syncs would pass the same test. That each transaction is synced
// rests on bbolt, run without any of its options that skip it, and a test here
// holds that it is. A sync that fails is tested only through a hook in front of
// the commit, not in the kernel.
package boltstore
