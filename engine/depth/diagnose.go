package depth

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// CauseID names a cause of readings that do not agree. The strings are stable:
// they may be written into records.
type CauseID string

// The causes that [Diagnose] weighs. [CauseWords] has a sentence for each.
const (
	CauseNone         CauseID = "none"             // the readings agree
	CauseBaseline     CauseID = "baseline"         // the baseline was not as long as told: scale
	CauseDatum        CauseID = "datum"            // all distances taken from the wrong point
	CauseView         CauseID = "view"             // a view that takes the antenna's height off
	CauseViewAbsorbed CauseID = "view_absorbed"    // the same view, also while calibrating
	CauseInterference CauseID = "noise_coherent"   // background in step with the signal
	CauseBackground   CauseID = "noise_incoherent" // background that adds in power
	CauseMetal        CauseID = "metal"            // metal beside or a mat under the line
	CauseGear         CauseID = "gear"             // another housing, transmitter or power than before
	CauseTape         CauseID = "tape"             // a tape wrong by a share, at the baseline and all marks
	CauseAim          CauseID = "aim"              // transmitter not square to the line, or end-on
	CauseSlip         CauseID = "slip"             // one value typed wrongly
	CauseOther        CauseID = "other"            // none of these explains the numbers
)

// Cause is one cause with its likelihood, 0 to 1, those of one [Diagnosis]
// adding to 1. Size is the best value of its free parameter:
//
//	baseline, datum            metres the true distance is longer than told
//	view, view_absorbed        metres taken off
//	noise_coherent, _incoherent  decibels relative to the signal at the baseline
//	metal                      metres from the line
//	gear                       decibels
//	tape                       share the tape is too long
//	aim                        radians away from square
//	slip                       metres that were probably meant
//	none, other                0
//
// Where names the reading for a slip, or the readings of a mark, and the band if one alone is disturbed.
type Cause struct {
	ID         CauseID
	Likelihood float64
	Size       float64
	Where      string
}

// Diagnosis ranks the causes, most likely first. Apart is false if the first two
// cannot be told apart by these numbers (the second is more than 1/39 as likely
// as the first); Next then is the one extra reading that would, and "" otherwise.
// Rivals is how many of the first causes are that close, 1 if Apart.
type Diagnosis struct {
	Ranked []Cause
	Apart  bool
	Next   ExtraID
	Rivals int
}

// tellApart is how many times likelier the first cause must be: at 39 the second
// is right once in forty, which is also the risk of a guarded decision.
const tellApart = 39

// healthyOdds is how much more often nothing is wrong than any one cause, before
// the readings are looked at. Chosen; it decides only what readings that agree
// are called.
const healthyOdds = 10

// Diagnose weighs every cause against the readings. The likelihood of a cause is
// that of the readings under it: Gaussian about what it predicts, with the
// covariance that tape, datum, display and hand give (the error of the baseline
// and of the datum is shared by all marks, that of a mark by all bands), averaged
// over the cause's free parameter. The prior of the parameter is flat over a
// range unless said; these are the ranges, with b the baseline:
//
//	baseline          -20 % to +20 % of b
//	datum             -12 % to +12 % of b, less likely the larger, in a straight line
//	view, absorbed    0.3 % to 7 % of b (2.5 in of 10 ft is 2.1 %)
//	noise_coherent    -40 to -6 dB of the signal at b, flat in dB, either phase,
//	                  in one band or the same in all
//	noise_incoherent  -26 to -3 dB, likewise
//	metal             0.02 b to 3 b, flat in log: conducting sheet under,
//	                  conducting or permeable sheet beside the line
//	gear              -12 to +12 dB
//	tape              -10 % to +10 %
//	aim               0 to 90 degrees, at all marks, while calibrating only, or at
//	                  the marks only
//	slip              one reading, all of a mark or all of a band, in feet for metres
//	                  or the reverse, in inches for feet or the reverse; one reading
//	                  or all of a mark with two neighbouring digits swapped, or feet
//	                  and inches
//	other             every mark off by a normal 50 %, every constant by 6 dB
//
// A measured background halves the noise prior: one half flat as above, in case
// it came later, one half normal about the measured level with 3 dB. All causes
// start equally likely but [CauseNone], which is ten times likelier than any
// other. Gear and tape are left out when no constant is compared with a history:
// nothing else could show them.
//
// Errors: a [*FieldError] naming the field of the evidence. The function is pure.
//
// Source: the patterns are derived (error_patterns.csv, rebar_mat.csv); Bayes'
// rule with one-parameter hypotheses; the ranges are chosen.
func Diagnose(e Evidence) (Diagnosis, error) {
	b, err := e.bench()
	if err != nil {
		return Diagnosis{}, err
	}
	var found []fitted
	for _, h := range b.hypotheses() {
		found = append(found, b.weigh(h))
	}
	found = append(found, b.weighSlip(), b.weighOther())
	return b.rank(found)
}

// Misfit is how far the evidence lies from readings with nothing wrong, as a sum
// of squares in independent units of one standard deviation, and how many numbers
// it is the sum of. With nothing wrong it is about n; its root is the size of a
// fault in units of what the readings can resolve. Errors as in [Diagnose].
//
// Source: generalised least squares, with the covariance described at [Diagnose].
func (e Evidence) Misfit() (chiSquared float64, n int, err error) {
	b, err := e.bench()
	if err != nil {
		return 0, 0, err
	}
	chiSquared, err = settled(-2*b.logOf(b.plain()), "Evidence")
	return chiSquared, len(b.slots), err
}

// fitted is a hypothesis held against the readings.
type fitted struct {
	id    CauseID
	log   float64 // log of prior times likelihood, up to a common constant
	best  variant // the one with the least misfit
	at    float64 // its parameter there
	size  float64 // the same, as Cause.Size
	where string
}

func (b *bench) rank(found []fitted) (Diagnosis, error) {
	slices.SortStableFunc(found, func(x, y fitted) int { return cmp.Compare(y.log, x.log) })
	logs := make([]float64, len(found))
	for i, f := range found {
		logs[i] = f.log
	}
	total := floats.LogSumExp(logs)
	var d Diagnosis
	sizes := []float64{total}
	for _, f := range found {
		c := Cause{ID: f.id, Likelihood: math.Exp(f.log - total), Size: f.size, Where: f.where}
		d.Ranked = append(d.Ranked, c)
		sizes = append(sizes, c.Likelihood, c.Size)
	}
	for _, f := range found {
		if found[0].log-f.log < math.Log(tellApart) {
			d.Rivals++
		}
	}
	if d.Apart = d.Rivals == 1; !d.Apart {
		d.Next = b.extra(found[0], found[1])
	}
	return settled(d, "Evidence", sizes...)
}

// weigh averages the likelihood of a hypothesis over its variants, and keeps the
// best point of the best one.
func (b *bench) weigh(h hypothesis) fitted {
	f := fitted{id: h.id}
	logs, least := make([]float64, len(h.variants)), math.Inf(1)
	for i, v := range h.variants {
		l, size, misfit := b.integrate(v)
		logs[i] = l
		if misfit < least {
			least, f.best, f.at, f.where = misfit, v, size, b.bandName(v.only)
		}
	}
	f.log = floats.LogSumExp(logs) - math.Log(float64(len(logs)))
	if h.id == CauseNone {
		f.log += math.Log(healthyOdds)
	}
	if f.size = f.at; h.shown != nil {
		f.size = h.shown(f.at)
	}
	return f
}
