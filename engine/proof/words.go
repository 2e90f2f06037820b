package proof

import "fmt"

// words says what is proved and what is not.
func (c *checker) words() {
	v := &c.v
	proved := func(format string, args ...any) { v.Proved = append(v.Proved, fmt.Sprintf(format, args...)) }
	not := func(format string, args ...any) { v.Unproved = append(v.Unproved, fmt.Sprintf(format, args...)) }

	proved("The log %s signed a checkpoint over %d records, and each of the %d records in this file is one of them, byte for byte.",
		v.Signed.Origin, v.Signed.Size, v.Records)
	proved("The bore's versions 1 to %d are all here; none is missing among them.", v.Versions)
	switch v.Releases {
	case 0:
		proved("Bore %s was never ready to drill within these records.", v.Bore)
	default:
		proved("At each of the %d times it was said to be ready to drill, every rule that the record names held and two people in two roles had signed the values on record.", v.Releases)
	}
	switch {
	case c.why != nil:
		not("That the rules give these findings: they could not judge again: %v.", c.why)
	case v.Rerun > 0:
		proved("The rules kept with the log, judging again at %d records, give the findings on record, and what each release says was loosened.", v.Rerun)
	default:
		not("That the rules give these findings: they did not judge again.")
	}
	c.anchorWords(proved, not)
	not("That nothing came after version %d: this file would look the same.", v.Versions)
	not("That no other rules came into force, and no role was given, in records that are not in the file.")
	not("That what was typed is true, and that the log's clock was right.")
	if n := c.left(); n > 0 {
		not("What %d pictures or files of evidence show: only their hashes are here.", n)
	}
}

func (c *checker) anchorWords(proved, not func(string, ...any)) {
	v := &c.v
	if v.Pinned {
		proved("The log continues the checkpoint that you hold.")
	}
	if c.who != "" {
		proved("The checkpoint was cosigned by %s.", c.who)
	}
	if c.unchecked > 0 {
		not("That the log continues %d of the checkpoints that you hold: the file has no proof from there. Ask for one made with --since and that checkpoint.", c.unchecked)
	}
	if !v.Anchored() {
		not("That the holder of the log's key has not signed another history: nobody else speaks for this one.")
	}
}

// left counts the files of evidence that are only named.
func (c *checker) left() int {
	missing := map[string]bool{}
	for _, r := range c.bore {
		for _, f := range r.Shown {
			if !c.f.shown[f.Sum] {
				missing[f.Sum] = true
			}
		}
	}
	return len(missing)
}
