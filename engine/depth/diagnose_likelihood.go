package depth

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// decibelPerRatio is the change in decibels of signal per relative change of a
// distance, 60/ln 10.
const decibelPerRatio = 26.057668914195187

// covariance of the slots when nothing is wrong; broad lets every mark and every
// constant be off by anything.
func (b *bench) covariance(broad bool) *mat.SymDense {
	c := mat.NewSymDense(len(b.slots), nil)
	tape, datum, step := Rectangular(b.e.Tape), Rectangular(b.e.Datum), Rectangular(b.e.Step/2)
	for i, s := range b.slots {
		baseS, datumS := b.sensitivities(s)
		for j := i; j < len(b.slots); j++ {
			t := b.slots[j]
			baseT, datumT := b.sensitivities(t)
			v := tape*tape*baseS*baseT + datum*datum*datumS*datumT
			if b.sameMark(s, t) {
				v += tape * tape
			}
			if s.place == t.place && s.band == t.band {
				if s.place >= 0 { // what one display rounds, it rounds each time alike
					v += step * step
				}
				if broad && s.place >= 0 {
					v += b.places[s.place].at * b.places[s.place].at / 4
				} else if broad {
					v += 36
				}
			}
			if i == j {
				v += s.u * s.u
			}
			c.SetSym(i, j, v)
		}
	}
	return c
}

// sensitivities of a slot to the true length of the baseline and to a datum
// error at every distance.
func (b *bench) sensitivities(s slot) (base, datum float64) {
	if s.place < 0 {
		k := -decibelPerRatio / b.e.Baseline
		return k, k
	}
	p := b.places[s.place]
	if p.own {
		return 0, 0
	}
	r := p.at / b.e.Baseline
	return -r, 1 - r
}

// sameMark says whether two readings hang on one taped mark, which is what all
// bands share.
func (b *bench) sameMark(s, t slot) bool {
	if s.place < 0 || t.place < 0 {
		return false
	}
	p, q := b.places[s.place], b.places[t.place]
	return !p.own && !q.own && sameLength(p.at, q.at)
}

func factorise(c *mat.SymDense) ([][]float64, error) {
	var chol mat.Cholesky
	if !chol.Factorize(c) {
		return nil, &FieldError{"Evidence", "its uncertainties are too unlike one another to be used together"}
	}
	var l mat.TriDense
	chol.LTo(&l)
	n := c.SymmetricDim()
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = make([]float64, i+1)
		for j := range rows[i] {
			rows[i][j] = l.At(i, j)
		}
	}
	return rows, nil
}

// whiten turns residuals in place into independent ones of unit variance.
func whiten(lower [][]float64, r []float64) {
	for i, row := range lower {
		r[i] = (r[i] - floats.Dot(row[:i], r[:i])) / row[i]
	}
}

// residuals are the readings less what a variant predicts at a size, whitened,
// put into r.
func (b *bench) residuals(r []float64, v variant, size float64) {
	shift := b.shift
	for i, p := range b.places {
		shift[i] = 0
		if v.reads != nil && v.concerns(p.band) {
			shift[i] = v.reads(size, p) - p.at
		}
	}
	for i, s := range b.slots {
		r[i] = s.value
		switch {
		case s.place >= 0:
			r[i] -= shift[s.place]
		case v.constant != nil && v.concerns(s.band):
			r[i] -= v.constant(size, b.e.Baseline)
		}
	}
	whiten(b.lower, r)
}

// integrate is the log of the likelihood averaged over the prior of the size, the
// size at which it is greatest, and the sum of squares there. Between two sizes
// the residuals are taken to run straight, which makes each piece a Gaussian
// integral.
func (b *bench) integrate(v variant) (log, size, misfit float64) {
	from, to := b.plain(), b.plain()
	b.residuals(from, v, v.sizes[0])
	misfit, size = floats.Dot(from, from), v.sizes[0]
	if len(v.sizes) == 1 {
		return -misfit / 2, size, misfit
	}
	logs := make([]float64, len(v.sizes)-1)
	for i := range logs {
		b.residuals(to, v, v.sizes[i+1])
		l, t, least := piece(from, to, misfit+nothing)
		logs[i] = l + v.logWeight(i)
		if least < misfit {
			misfit, size = least, v.sizes[i]+t*(v.sizes[i+1]-v.sizes[i])
		}
		from, to = to, from
	}
	return floats.LogSumExp(logs), size, misfit
}

// nothing is how much worse than the best a square must be to be left out of a
// sum: exp(-100) of it.
const nothing = 200

// piece is the log of the mean of exp(-|r|^2/2) as r runs straight from one
// vector to another, and where on the way (0 to 1) the square is least. If that is
// above a limit the log is minus infinity.
func piece(from, to []float64, limit float64) (log, at, least float64) {
	var a, bb, c float64
	for i, f := range from {
		d := to[i] - f
		a, bb, c = a+d*d, bb+d*f, c+f*f
	}
	end := floats.Dot(to, to)
	if a < 1e-12 {
		return -(c + end) / 4, 0, math.Min(c, end)
	}
	at = math.Min(1, math.Max(0, -bb/a))
	least = math.Max(0, c+at*(2*bb+at*a))
	if least > limit {
		return math.Inf(-1), at, least
	}
	root := math.Sqrt(a)
	low, high := bb/root, bb/root+root
	if low < 0 && high > 0 {
		span := distuv.UnitNormal.CDF(high) - distuv.UnitNormal.CDF(low)
		return -(c-low*low)/2 + math.Log(math.Sqrt(2*math.Pi)/root*span), at, least
	}
	// Off to one side: the tail, scaled by its own height so that it cannot
	// underflow.
	near, far := math.Min(math.Abs(low), math.Abs(high)), math.Max(math.Abs(low), math.Abs(high))
	tail := mills(near)
	if fall := (near - far) * (near + far) / 2; fall > -nothing/2 {
		tail -= math.Exp(fall) * mills(far)
	}
	return -least/2 + math.Log(math.Max(tail, math.SmallestNonzeroFloat64)/root), at, least
}

// mills is the upper tail of the normal distribution over its density, for x from
// 0; far out by its asymptotic series (Abramowitz and Stegun, 7.1.23).
func mills(x float64) float64 {
	if x > 25 {
		x2 := x * x
		return (1 - 1/x2 + 3/(x2*x2) - 15/(x2*x2*x2)) / x
	}
	return math.Sqrt(math.Pi/2) * math.Erfc(x/math.Sqrt2) * math.Exp(x*x/2)
}

// weighOther is the Gaussian likelihood with a covariance so broad that it fits
// anything, which the others must beat.
func (b *bench) weighOther() fitted {
	r := make([]float64, len(b.slots))
	log := 0.0
	for i, s := range b.slots {
		r[i] = s.value
		log -= math.Log(b.broad[i][i] / b.lower[i][i])
	}
	whiten(b.broad, r)
	return fitted{id: CauseOther, log: log - floats.Dot(r, r)/2}
}
