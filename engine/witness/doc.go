// Package witness lets somebody else than the owner of a ledger vouch that it only
// ever grew: it cosigns checkpoints, asks for cosignatures, and says whether a
// checkpoint has those that a policy wants.
//
// A witness is run by another department with a key of its own: [Open] its state,
// then serve [New]. The owner of a ledger calls [Cosign]. Whoever checks reads a
// policy with [ParsePolicy] and calls [Policy.Check]. [NewKey] makes a witness's key.
//
// It follows C2SP tlog-witness (HTTP), tlog-cosignature (Ed25519, cosignature/v1)
// and tlog-policy.
//
// # What a cosignature says
//
// That at its time the witness had seen no larger and no other history of the log
// than the one the checkpoint is made over. A witness that lost its state can be
// made to say it of two histories: the state is written and synced before any
// cosignature is given, and a witness does not start without it, unless it is told
// that it is new.
package witness
