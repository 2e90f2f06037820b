package crewsim

import (
	"fmt"
	"slices"
	"strings"
)

// header of the report. It takes the sizes of the report.
const header = `# Simulated crews

Made by ` + "`go test ./engine/enginetest/crewsim -run TestReport -update`" + `; a test checks that it
is fresh. %[1]d healthy crews judged (%[2]d diagnosed), %[3]d for each fault (%[4]d
diagnosed), seed %[5]d.

A crew has a transmitter, two bands, a tape good to 0.25 in, centre marks good to
0.5 in, an aim within 5 degrees, metal no nearer than 30 ft, a background at least
15 dB below the signal at the planned depth and at the far mark, a display in whole
inches and a hand that scatters 0.15 in; all of it varies from crew to crew. A fault
comes on top. Verdicts are those of the near mark, the far mark, the bend and the
noise margin, on both bands, by the functions and limits of the base rules. What a
crew answers to the other checks is left out: it may be wrong.

Effect is what the fault alone does to a reading at the planned depth. A fault is
beyond tolerance if that is more than 5 %%. Such a fault must be released in at most
2.5 %% of cases, or another check must ask for it. Noise is on one band; "late" noise
began after the survey with the transmitter off.

Over resolution is the size of the fault over two standard deviations of healthy
readings. From 2 on the right cause must be first in at least 95 %%, or be named
among those that the diagnosis says it cannot tell apart ("led"). "Sure" is the share
of cases where a wrong cause is said to be the only one. With history, the constant
is compared with the pair's own, good to 0.3 dB.

## Summary

`

// remarks on the figures that are missed: what dominates, and what was tried.
const remarks = `
Why the gaps are there, and what was tried (columns of the first table):

- A tape wrong by a share at every mark, like a mat just under the line, the wrong
  housing and a transmitter turned alike at all marks, leaves the readings as they
  are. No limit on the readings finds it. The history of the constant does (second
  table), and so would a second tape; no base check asks for either.
- A background in step with the signal grows with the cube of the depth against it,
  and the far mark is at 15 ft. The margin of 12.1 dB is for a background that adds
  in power (1 % of depth); in step it costs 7 % too shallow, or 10 % too deep. It is
  released where the bend at the marks is within the cover of 3 standard
  uncertainties. Background that began after the survey no margin can see at all.
- Tried: a cover of 2 ("bend 2") blocks no more healthy crews and takes away from a
  tenth of these releases to nearly all, more the larger the fault; a cover of 1.5
  takes away most, and blocks one or two healthy crews in a hundred. A margin of 30.3
  dB stops what the survey heard, and every site between 12 and 30 dB, which are many
  here because the healthy margins were drawn from 15 dB on. The rule that the line
  through the marks, drawn out to the planned depth, must be within tolerance there
  ("doubt rule") changes nothing: a straight line does not see a cube coming.
- What works is to read where the bore will be: a mark as far as the planned depth
  together with the cover of 2 ("deep mark") leaves next to nothing of the faults of
  6 % and more, and blocks no healthy crew. Left are faults within half a percent of
  the tolerance, where metal at 30 ft decides, which may move a 20-ft reading by up to
  2.6 %.
`

// summary counts the verdicts and lists what cannot be told apart.
func summary(rows []Row) string {
	var stopped, asked, gaps, first, said, missed int
	var pairs []string
	for _, r := range rows[1:] {
		switch s := r.Stop(); {
		case strings.HasPrefix(s, "stopped"):
			stopped++
		case strings.HasPrefix(s, "unseen"):
			asked++
		case strings.Contains(s, "GAP"):
			gaps++
		}
		for _, history := range []bool{false, true} {
			n := r.Plain
			if history {
				n = r.History
			}
			switch s := r.Named(history); {
			case s == "first":
				first++
			case strings.HasPrefix(s, "said"):
				said++
				pairs = append(pairs, fmt.Sprintf("%s and %s", min(r.Fault.Cause, n.Rival), max(r.Fault.Cause, n.Rival)))
			case strings.HasPrefix(s, "MISSED"):
				missed++
			}
		}
	}
	slices.Sort(pairs)
	return fmt.Sprintf(`- Healthy crews blocked: %s %%.
- Faults beyond tolerance: %d stopped by the readings, %d unseen by them and asked by
  another check, %d that nothing stops (GAP).
- Causes clear of the resolution: %d times first, %d times among those said not to be
  told apart, %d times missed.
- Not told apart by these readings, and said so: %s.
`, percent(1-rows[0].Released[0]), stopped, asked, gaps, first, said, missed, strings.Join(slices.Compact(pairs), "; "))
}
