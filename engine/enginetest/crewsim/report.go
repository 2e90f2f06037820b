package crewsim

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"firstrod/engine/depth"
)

// Sizes of a report: crews per line whose readings are judged, and how many of
// them are also diagnosed.
type Sizes struct {
	Seed             uint64
	Judged           int
	Diagnosed        int
	HealthyJudged    int
	HealthyDiagnosed int
}

// Row is one line of the report. Shares are 0 to 1; a share of nothing is NaN.
type Row struct {
	Fault  Fault
	Effect float64 // of the fault alone, relative, at the planned depth; worst band
	// Released by the readings under each of [Ways], the base limits first.
	Released []float64
	// Resolved is the size of the fault over what the readings can resolve: two
	// standard deviations of readings with nothing wrong.
	Resolved float64
	Plain    Naming
	History  Naming // the constant's history is known too
}

// Naming is how a diagnosis names the cause, as shares of the diagnosed crews.
type Naming struct {
	First float64 // the right cause is first
	Led   float64 // first, or one of those that are said not to be told apart
	Sure  float64 // another is first, and said to be told apart
	Rival depth.CauseID
	Next  depth.ExtraID // most often asked for
}

// Beyond says whether the fault shifts the planned depth by more than the
// tolerance.
func (r Row) Beyond() bool { return math.Abs(r.Effect) > BaseLimits().Tolerance }

// Report simulates crews for every fault, after a first row of healthy ones. It is
// the same for the same sizes. Errors come from readings that the rules cannot
// judge, which no fault in the list makes.
func Report(s Sizes) ([]Row, error) {
	faults := append([]Fault{{Name: "healthy", Cause: depth.CauseNone}}, Faults()...)
	rows, errs := make([]Row, len(faults)), make([]error, len(faults))
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.NumCPU() {
		wg.Go(func() {
			for i := range next {
				n := s
				if i == 0 {
					n.Judged, n.Diagnosed = s.HealthyJudged, s.HealthyDiagnosed
				}
				// Each row has its own stream: adding one changes no other.
				rows[i], errs[i] = row(faults[i], n, seedOf(s.Seed, faults[i]))
			}
		})
	}
	for i := range faults {
		next <- i
	}
	close(next)
	wg.Wait()
	for i, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("%s %g: %w", faults[i].Name, faults[i].Size, err)
		}
	}
	return rows, nil
}

func seedOf(seed uint64, f Fault) *rand.PCG {
	h := uint64(14695981039346656037)
	for _, c := range fmt.Sprintf("%s %g %g", f.Name, f.Size, f.Planned) {
		h = (h ^ uint64(c)) * 1099511628211
	}
	return rand.NewPCG(seed, h)
}

func row(f Fault, s Sizes, source *rand.PCG) (Row, error) {
	rng := rand.New(source)
	r := Row{Fault: f}
	var err error
	if r.Effect, r.Resolved, err = alone(f); err != nil {
		return r, err
	}
	judges, err := judges()
	if err != nil {
		return r, err
	}
	released := make([]int, len(judges))
	plain, history := tally{}, tally{}
	for i := range s.Judged {
		c := Draw(rng, f.Put, f.Planned)
		if f.Type != nil {
			f.Type(rng, &c)
		}
		if err := count(released, judges, c); err != nil {
			return r, err
		}
		if i < s.Diagnosed {
			if err := cmp.Or(plain.add(c, f.Cause, false), history.add(c, f.Cause, true)); err != nil {
				return r, err
			}
		}
	}
	for _, n := range released {
		r.Released = append(r.Released, float64(n)/float64(s.Judged))
	}
	r.Plain, r.History = plain.naming(), history.naming()
	return r, nil
}

// alone is what a fault does with everything else perfect: its effect on the
// planned depth, and its size over what the readings (and the history, if only
// that can show it) can resolve.
func alone(f Fault) (effect, resolved float64, err error) {
	w := World{Planned: f.Planned, Background: make([]Background, bands)}
	if f.Planned == 0 {
		w.Planned = baseline
	}
	for i := range w.Background {
		w.Background[i] = Background{Incoherent: 1e-6, Heard: 1e-6}
	}
	rng := rand.New(rand.NewPCG(1, 1))
	if f.Put != nil {
		f.Put(rng, &w)
	}
	for i := range w.Background {
		if e := w.Effect(i); math.Abs(e) > math.Abs(effect) {
			effect = e
		}
	}
	c := exact(w)
	if f.Type != nil {
		f.Type(rng, &c)
	}
	chi2, _, err := c.Evidence(f.History).Misfit()
	return effect, math.Sqrt(math.Max(chi2, 0)) / 2, err
}

// tally counts how diagnoses name a cause.
type tally struct {
	n, first, led, sure int
	rivals              map[depth.CauseID]int
	extras              map[depth.ExtraID]int
}

func (t *tally) add(c Crew, want depth.CauseID, history bool) error {
	d, err := depth.Diagnose(c.Evidence(history))
	if err != nil {
		return err
	}
	if t.rivals == nil {
		t.rivals, t.extras = map[depth.CauseID]int{}, map[depth.ExtraID]int{}
	}
	t.n++
	t.extras[d.Next]++
	switch {
	case d.Ranked[0].ID == want:
		t.first++
		t.led++
		return nil
	case d.Apart:
		t.sure++
	case among(d, want):
		t.led++
	}
	t.rivals[d.Ranked[0].ID]++
	return nil
}

func among(d depth.Diagnosis, id depth.CauseID) bool {
	for _, c := range d.Ranked[:d.Rivals] {
		if c.ID == id {
			return true
		}
	}
	return false
}

func (t *tally) naming() Naming {
	n := float64(t.n)
	return Naming{First: float64(t.first) / n, Led: float64(t.led) / n, Sure: float64(t.sure) / n,
		Rival: most(t.rivals), Next: most(t.extras)}
}

// most is the key counted most often; of equals the first in order.
func most[K ~string](counts map[K]int) K {
	var best K
	for k, n := range counts {
		if k != "" && (best == "" || n > counts[best] || n == counts[best] && k < best) {
			best = k
		}
	}
	return best
}
