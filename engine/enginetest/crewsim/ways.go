package crewsim

import "fmt"

// Way is one set of limits under a name.
type Way struct {
	Name   string
	Limits Limits
	// Looser than the base. What is not is stricter: it blocks whom the base blocks.
	Looser bool
}

// surveyOnly is the place of the way without a second look at the background.
const surveyOnly = 1

// Ways are the base limits, first, and what else was tried.
func Ways() []Way {
	way := func(name string, looser bool, change func(*Limits)) Way {
		l := BaseLimits()
		change(&l)
		return Way{name, l, looser}
	}
	return []Way{
		way("base", false, func(*Limits) {}),
		way("survey only", true, func(l *Limits) { l.SurveyOnly = true }),
		way("bend 3", true, func(l *Limits) { l.CurvatureCover = 3 }),
		way("margin 12.1", true, func(l *Limits) { l.NoiseMargin = 12.1 }), // 12.07 dB cost one percent of depth in power
		way("bend 1.5", false, func(l *Limits) { l.CurvatureCover = 1.5 }),
		way("margin 30.7", false, func(l *Limits) { l.NoiseMargin = 30.7 }), // 30.63 dB cost one percent of depth out of phase
		way("doubt rule", false, func(l *Limits) { l.DoubtRule = true }),
		way("deep mark", false, func(l *Limits) { l.DeepMark = true }),
	}
}

// wayJudge is the judge of one of [Ways].
type wayJudge struct {
	Judge
	looser bool
}

func judges() ([]wayJudge, error) {
	var list []wayJudge
	for _, w := range Ways() {
		j, err := w.Limits.Judge()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", w.Name, err)
		}
		list = append(list, wayJudge{j, w.Looser})
	}
	return list, nil
}

// count adds one to every way that releases the crew; the base comes first. No way
// changes what a reading is good to, so that this is worked out once.
func count(released []int, judges []wayJudge, c Crew) error {
	weighed, err := judges[0].limits.weigh(c)
	if err != nil {
		return err
	}
	base := false // blocked
	for i, j := range judges {
		if base && !j.looser {
			continue
		}
		blocked, err := j.blocks(c, weighed)
		if err != nil {
			return err
		}
		if !blocked {
			released[i]++
		}
		base = base || blocked && i == 0
	}
	return nil
}
