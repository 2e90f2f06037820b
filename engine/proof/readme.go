package proof

// readme is the part of that name. It is the same in every file of format 1, and
// Check wants it to be: nobody can put other words in it.
const readme = `WHAT THIS IS

Everything that is on record of one bore, its checklist and who signed for it,
with a proof of each piece. It can be checked without the program that made it
and without trusting whoever sent it. You need SHA-256 and Ed25519, nothing else.

With the program:   firstrod verify FILE --pin CHECKPOINT
CHECKPOINT is a checkpoint of the log that you kept from earlier, from a message,
a mail or a print. Without one, or the cosignature of somebody you trust, the
file shows what the holder of the log's key has signed, and no more: that holder
could have signed another history as well.

BY HAND

1. The key. key.txt is "name+hash+key": what comes after the second + is base64
   of one byte 0x01 and the 32 bytes of an Ed25519 public key. Compare it with the
   key you were given by a way you trust.

2. The checkpoint. checkpoint.txt has three lines: the log's name, the number of
   records, base64 of the root of their tree; then an empty line and signatures.
   The line that begins with a dash and the log's name ends in base64 of 4 bytes
   (the key's hash) and a 64-byte Ed25519 signature over the three lines, with
   their line ends. Further signature lines are cosignatures: 4 bytes, 8 bytes of
   time (seconds since 1970, big endian), 64 bytes of signature over the lines
   "cosignature/v1" and "time SECONDS" and the three lines.

3. Each record. For records/NUMBER.json compute the leaf hash
       H = SHA-256(0x00, the bytes of the file)
   proofs/NUMBER.tlog-proof has the number, hashes in base64, and the checkpoint
   again. Let F = NUMBER, S = the number of records less one. For each hash P:
       if F is odd or F equals S:   H = SHA-256(0x01, P, H); then, if F is even,
                                    halve F and S until F is odd or 0
       otherwise:                   H = SHA-256(0x01, H, P)
       then halve F and S, dropping remainders.
   At the end S is 0 and H is the root in the checkpoint. (RFC 9162, 2.1.3.2;
   the tree is that of RFC 6962.)

4. The bytes that records name. A file in blobs/ or evidence/ is named by its own
   SHA-256. Records name rules ("blob") and what was signed ("input") by it.
   evidence.txt lists the pictures and files that were shown: SHA-256, size in
   bytes, type, name. They may have been left out of this file.

5. An older checkpoint that you hold. If since/SIZE.checkpoint is that one, then
   since/SIZE.proof has the hashes of the proof that the log continues it, one a
   line (RFC 9162, 2.1.4.2).

6. What the records say. They are JSON. The bore's records count 1, 2, 3 under
   "ver": none may be missing. "findings" are the rules that hold (pass, exempt,
   waived) or do not (fail, needs, broken), those that changed. A record with
   "release" is READY TO DRILL: at that point every rule in front of it holds,
   and two different people in different roles have signed the same input.

WHAT IT CANNOT SHOW

That nothing came after the last record in it. That what was typed is true. That
nothing was left out before it was typed. Times are those of the machine that
kept the log.
`
