package proof

import (
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// since checks the older checkpoints in the file: each is signed by the log, and
// the file's own checkpoint continues it.
func (c *checker) since() {
	c.links = map[int64]bool{}
	if c.v.Signed.Size == 0 {
		return
	}
	for name, raw := range c.f.parts {
		if !strings.HasPrefix(name, folderSince) {
			continue
		}
		size := numberOf(name)
		if name == hashesPart(size) {
			if c.f.parts[sincePart(size)] == nil {
				c.fault(-1, FaultPart, "%s is here, its checkpoint is not", name)
			}
			continue
		}
		old, err := c.keys.Open(raw)
		if err != nil || old.Size != size {
			c.fault(-1, FaultSince, "%s is not a checkpoint of %d records that this log has signed", name, size)
			continue
		}
		hashes, err := readLines(c.f.parts[hashesPart(size)])
		if c.f.parts[hashesPart(size)] == nil || err != nil {
			c.fault(-1, FaultPart, "the proof that goes with %s is missing or cannot be read", name)
			continue
		}
		if !continues(c.v.Signed, old, hashes) {
			c.fault(-1, FaultSince, "the file's checkpoint does not continue that of %d records which it has itself", size)
			continue
		}
		c.links[size] = true
	}
}

func continues(now, old ledger.Checkpoint, hashes tlog.TreeProof) bool {
	if old.Size == 0 {
		return true
	}
	return old.Size <= now.Size && tlog.CheckTree(hashes, now.Size, now.Root, old.Size, old.Root) == nil
}

// anchors holds the file against what the caller has from elsewhere.
func (c *checker) anchors() {
	if c.v.Signed.Size == 0 {
		return
	}
	var kept []ledger.Checkpoint
	for i, p := range c.o.Pins {
		old, err := c.keys.Open(p)
		if err != nil {
			c.fault(-1, ledger.FaultPin, "pinned checkpoint %d is not one that the log of this key has signed", i+1)
			continue
		}
		if old.Size < c.v.Signed.Size && old.Size > 0 && !c.links[old.Size] {
			c.unchecked++
			continue
		}
		kept = append(kept, old)
	}
	before := c.v.Faults
	ledger.Compare(c.v.Signed, kept, c.continues, func(code, say string) { c.fault(-1, code, "%s", say) })
	for _, k := range kept {
		c.v.Pinned = c.v.Pinned || k.Size > 0 && c.v.Faults == before
	}
	if c.o.Policy == nil {
		return
	}
	who, err := c.o.Policy(c.note)
	if err != nil {
		c.fault(-1, FaultPolicy, "%v", err)
		return
	}
	c.who, c.v.Witnessed = who, who != ""
}

// continues says whether the file's checkpoint continues a kept one: it is the
// same, or the file has the proof.
func (c *checker) continues(old ledger.Checkpoint) bool {
	if old.Size == c.v.Signed.Size {
		return old.Root == c.v.Signed.Root
	}
	hashes, err := readLines(c.f.parts[hashesPart(old.Size)])
	return err == nil && continues(c.v.Signed, old, hashes)
}
