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
%[6]g dB below the signal at the planned depth and at the far mark, a display in whole
inches and a hand that scatters 0.15 in, and reads each mark three times; all of it varies from crew to crew. The base
asks for %[7]g dB at the planned depth: a site under that is no healthy site, and being
stopped there is no false alarm. Sites between the two are not drawn. A fault comes on
top. Verdicts are those of the near mark, the far mark, the bend, the noise
margin and, where the bore goes deeper than the far mark, the margin over the background
heard again after the marks, on both bands, by the functions and limits of the base rules. What a crew answers to
the other checks is left out: it may be wrong.

Effect is what the fault alone does to a reading at the planned depth. A fault is
beyond tolerance if that is more than 5 %%. Such a fault must be released in at most
2.5 %% of cases, or another check must ask for it; what neither is true of is a GAP, with
its reason. Noise is on one band, the same on the calibration line and over the bore;
"late" noise began after the survey with the transmitter off and before the
calibration.

Over resolution is the size of the fault over two standard deviations of healthy
readings. From 2 on the right cause must be first in at least 95 %%, or be named
among those that the diagnosis says it cannot tell apart ("led"). "Sure" is the share
of cases where a wrong cause is said to be the only one. With history, the constant
is compared with the pair's own, good to 0.3 dB.

## Summary

`

// summary counts the verdicts and lists what cannot be told apart.
func summary(rows []Row) string {
	var stopped, asked, first, said, missed int
	var pairs []string
	for _, r := range rows[1:] {
		switch s := r.Stop(); {
		case strings.HasPrefix(s, "stopped"):
			stopped++
		case strings.HasPrefix(s, "unseen"):
			asked++
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
`, percent(1-rows[0].Released[0]), stopped, asked, gaps(rows, 0), first, said, missed, strings.Join(slices.Compact(pairs), "; "))
}
