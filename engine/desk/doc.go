// Package desk brings changed rules into force while the program runs, and
// carries them from one place to another. It knows files, sums, serials and
// signatures; what rules mean it leaves to the function it is given.
//
// Call [Publish] for the safety manager's folder, [Begin] at the start of a program
// that takes its rules from the web, and [New] with a [Folder] or a [Web] as its
// source: Start brings the last good rules into force, Run watches for newer ones,
// and [Desk.Live] is what holds now, for any number of readers. [Read] looks at a
// folder, [Rollback] puts earlier files back, [Seal] and [Unseal] make and open the
// signed bundle that travels. [Trial] and [Judge] are the two ends of a trial in a
// process of its own that may not run away.
//
// A folder holds base/ (optional) and local/CODE/, publication.json that [Publish]
// writes last, and the hidden folder .published with the bytes of every publication.
// Names that begin with a dot, and a folder schemas for the stock rule engine, are
// nobody's business. Whatever does not match its publication, does not follow the one
// in force, is not signed, or does not load, is never in force; the old rules then
// stay, and that is said.
package desk
