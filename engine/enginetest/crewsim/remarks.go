package crewsim

import (
	"fmt"
	"math"
	"strings"

	"firstrod/engine/depth"
)

// surveyText takes figures of noise in percent: at the
// margin of the base against, with and beside the signal, and deeper down.
const surveyText = `
What stops them, check by check:

- All of these are background that began after the survey and before the marks were
  read. calibration.noise_margin is worked out from the survey and cannot see it, and
  verification.straight sees it only as far as the far mark, at 15 ft: against the
  signal, background grows with the cube of the depth, and at 20 ft it is 2.4 times as
  strong as there. verification.noise_again has the background heard once more after
  the marks, wherever the bore goes deeper than the far mark, and wants the same margin.
- Down to the far mark the readings themselves are the proof: no late background beyond
  tolerance at 14 ft is released.
- Late background that is there only over the bore, or begins after the marks were
  read and the background was heard again, is not simulated: no reading on the
  calibration line can show it. verification.still_true asks for a known point once
  interference or a new shift was reported, or 12 hours have passed;
  tracking.open_hole, tracking.null_points and tracking.rods hold the depth shown
  against another while drilling, for a crew that makes them. Nothing finds it on a
  bore where nobody reports anything and nobody checks.
- It gets worse with depth, and this report ends at 20 ft. A late background that
  adds 0.01 of the signal in step, released in %s %% at 20 ft, costs %s %% of depth
  there and %s %% at 30 ft, where it is under the margin; one of 0.05 that adds in
  power, released in %s %%, costs %s %% and %s %%.
- What was heard is stopped: at the margin of %g dB it costs %s %% too deep
  against the signal, %s %% too shallow in step, %s %% when it adds in power.

A tape wrong by a share at every mark leaves the readings as they are, like a mat just
under the line, other gear on the ground and a transmitter turned alike at all marks.
No limit on the readings finds these; each has a check that asks for it. For the tape
that is calibration.second_tape: it stops tapes that differ by more than half an inch
over the baseline, 0.4 %%. Two tapes wrong by the same share pass it, and so does an
answer that was copied from the first. The history of the constant shows these faults
too, the larger ones at least (last table); no base check asks for it. A conducting
wall 8 ft beside the line is stopped in most cases, but not in all; there it is
ground.metal_baseline that asks.
`

// remains is what no check stops, and what would be if the background were heard
// in the survey only.
func remains(rows []Row) string {
	var b strings.Builder
	b.WriteString("\n## What remains\n\n")
	left := list(rows, 0)
	if left == "" {
		left = "Beyond tolerance nothing is left that neither the readings nor another check stop.\n"
	} else {
		left = "Nothing here stops:\n\n" + left
	}
	b.WriteString(left + "\nWith the background heard in the survey alone (\"survey only\") these would be:\n\n" + list(rows, surveyOnly))
	step, power := find(rows, "coherent noise late", 0.01), find(rows, "background late", 0.05)
	needed := BaseLimits().NoiseMargin
	fmt.Fprintf(&b, surveyText,
		percent(step.Released[0]), cost(step.Fault, 20*Foot), cost(step.Fault, 30*Foot),
		percent(power.Released[0]), cost(power.Fault, 20*Foot), cost(power.Fault, 30*Foot),
		needed, noiseCost(needed, depth.OutOfPhase), noiseCost(needed, depth.InPhase), noiseCost(needed, depth.Incoherent))
	return b.String()
}

// list is what nothing stops under one of [Ways].
func list(rows []Row, way int) string {
	var b strings.Builder
	for _, r := range rows[1:] {
		if r.Gap(way) {
			fmt.Fprintf(&b, "- %s, %s, planned %s ft: effect %s %%, released %s %%\n",
				r.Fault.Name, size(r), planned(r), percent(r.Effect), percent(r.Released[way]))
		}
	}
	return b.String()
}

// find is the row of a fault of a size at 20 ft.
func find(rows []Row, name string, size float64) Row {
	for _, r := range rows {
		if r.Fault.Name == name && r.Fault.Size == size && r.Fault.Planned == 20*Foot {
			return r
		}
	}
	return Row{Released: []float64{math.NaN()}}
}

// cost is what a fault alone does to a reading at a depth, in percent.
func cost(f Fault, planned float64) string {
	f.Planned = planned
	effect, _, err := alone(f)
	if err != nil {
		return err.Error()
	}
	return percent(math.Abs(effect))
}

func noiseCost(margin float64, how depth.Adding) string {
	e, err := depth.NoiseError(margin, how)
	if err != nil {
		return err.Error()
	}
	return percent(math.Abs(e))
}

const triedText = `
What was tried, none of it in the base rules:

- The background heard in the survey only, and not again after the marks ("survey
  only"): leaves the gaps above, and spares no healthy crew.
- A cover of 3 standard uncertainties for the bend, not 2 ("bend 3"), releases more
  of what is within tolerance and spares no healthy crew that the base blocks, to a
  tenth of a percent. A cover of 1.5 blocks about one healthy crew in a thousand.
- A margin of 12.1 dB is enough for a background that adds in power, to 1 %% of depth.
  Against the signal it costs %s %%, and such backgrounds are released though they
  were heard. A margin of 30.7 dB, at which no background costs more than 1 %%,
  blocks about a third of the healthy crews.
- What a reading at the planned depth may be wrong by, from the line through the marks
  with tape, datum and display, must be within tolerance there ("doubt rule"): changes
  no figure. A straight line does not see a cube coming.
- A mark as far as the planned depth, read and judged like the others where the bore
  goes deeper than the far mark ("deep mark"), stops nothing beyond tolerance that
  the base does not, and blocks no more healthy crews, to a tenth of a percent.
`

// tried is how the other limits do.
func tried(rows []Row) string {
	var b strings.Builder
	fmt.Fprintf(&b, triedText, noiseCost(12.1, depth.OutOfPhase))
	b.WriteString("\n| limits | healthy crews blocked % | gaps |\n|---|---|---|\n")
	for i, w := range Ways() {
		fmt.Fprintf(&b, "| %s | %s | %d |\n", w.Name, percent(1-rows[0].Released[i]), gaps(rows, i))
	}
	return b.String()
}

// gaps counts the faults beyond tolerance that nothing stops under one of [Ways].
func gaps(rows []Row, way int) int {
	n := 0
	for _, r := range rows[1:] {
		if r.Gap(way) {
			n++
		}
	}
	return n
}
