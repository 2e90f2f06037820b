package crewsim

import (
	"fmt"
	"math"
	"strings"
)

// What the report asks of the rules and of the diagnosis.
const (
	MostHealthyBlocked = 0.05
	MostReleased       = 0.025
	LeastFirst         = 0.95
	LeastResolved      = 2 // times what the readings can resolve
)

// Stop says in a few words whether a fault is stopped, and by what. It starts with
// "GAP" if nothing stops it though its effect is beyond tolerance, and with
// "UNKNOWN GAP" if that has no reason in the list either.
func (r Row) Stop() string {
	switch {
	case !r.Beyond():
		return "within tolerance"
	case r.Released[0] <= MostReleased:
		return "stopped by the readings"
	case r.Fault.Covers != "":
		return "unseen; asked by " + r.Fault.Covers
	case r.Fault.Gap != "":
		return "GAP: " + r.Fault.Gap
	}
	return "UNKNOWN GAP"
}

// Named says in a few words how a diagnosis did, with or without the history. It
// starts with "MISSED" where the cause is clear of what the readings resolve and
// is neither first nor said to be among those that cannot be told apart.
func (r Row) Named(history bool) string {
	n := r.Plain
	if history {
		n = r.History
	}
	switch {
	case r.Fault.History && !history:
		return "unseen"
	case r.Resolved < LeastResolved:
		return "too small"
	case n.First >= LeastFirst:
		return "first"
	case n.Led >= LeastFirst:
		return fmt.Sprintf("said: or %s, take %s", n.Rival, n.Next)
	}
	return fmt.Sprintf("MISSED for %s", n.Rival)
}

// Gap says whether nothing stops the fault, though it is beyond tolerance, under
// one of [Ways] by its place in the list.
func (r Row) Gap(way int) bool {
	return r.Beyond() && r.Fault.Covers == "" && r.Released[way] > MostReleased
}

// Table is the report as text, for the rows of [Report].
func Table(rows []Row, s Sizes) string {
	var b strings.Builder
	fmt.Fprintf(&b, header, s.HealthyJudged, s.HealthyDiagnosed, s.Judged, s.Diagnosed, s.Seed,
		float64(leastMargin), BaseLimits().NoiseMargin)
	b.WriteString(summary(rows))
	b.WriteString(remains(rows))
	b.WriteString(tried(rows))
	b.WriteString(released(rows))
	b.WriteString(named(rows))
	return b.String()
}

// released is the table of verdicts.
func released(rows []Row) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n## Released\n\n| fault | size | planned ft | effect %% |")
	for _, w := range Ways() {
		fmt.Fprintf(&b, " %s |", w.Name)
	}
	fmt.Fprintf(&b, " verdict |\n|---|---|---|---|%s---|\n", strings.Repeat("---|", len(Ways())))
	for i, r := range rows {
		stop := r.Stop()
		if i == 0 {
			stop = fmt.Sprintf("blocked %s %%, at most %s %%", percent(1-r.Released[0]), percent(MostHealthyBlocked))
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s |", r.Fault.Name, size(r), planned(r), percent(r.Effect))
		for _, share := range r.Released {
			fmt.Fprintf(&b, " %s |", percent(share))
		}
		fmt.Fprintf(&b, " %s |\n", stop)
	}
	return b.String()
}

// named is the table of diagnoses.
func named(rows []Row) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n## Named\n\n| fault | size | planned ft | over resolution | first | led | sure | verdict | with history: first | led | sure | verdict |\n%s\n",
		"|"+strings.Repeat("---|", 12))
	for i, r := range rows {
		plain, history := r.Named(false), r.Named(true)
		if i == 0 {
			plain, history = "healthy", "healthy"
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %.1f | %s | %s | %s | %s | %s | %s | %s | %s |\n",
			r.Fault.Name, size(r), planned(r), r.Resolved,
			percent(r.Plain.First), percent(r.Plain.Led), percent(r.Plain.Sure), plain,
			percent(r.History.First), percent(r.History.Led), percent(r.History.Sure), history)
	}
	return b.String()
}

func percent(share float64) string {
	s := fmt.Sprintf("%.1f", 100*share)
	if s == "-0.0" {
		return "0.0"
	}
	return s
}

func size(r Row) string {
	if r.Fault.Unit == "" {
		return ""
	}
	return fmt.Sprintf("%g %s", r.Fault.Size, r.Fault.Unit)
}

func planned(r Row) string {
	if r.Fault.Planned == 0 {
		return "6 to 20"
	}
	return fmt.Sprintf("%.0f", math.Round(r.Fault.Planned/Foot))
}
