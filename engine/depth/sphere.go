package depth

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// SphereEffect is how a metal sphere changes the field over a baseline, relative
// to the field without it.
type SphereEffect struct {
	Axis   float64 // along the transmitter: one antenna
	Total  float64 // of the length of the field
	Vector float64 // length of the extra field: no receiver can see more
}

// Sphere is a compact metal body, a vehicle say, beside a baseline; metres.
type Sphere struct {
	Radius float64
	Gap    float64 // from the line to the nearest point of the sphere
	Along  float64 // from the middle of the line to the foot of the centre
	// Angle in radians between the transmitter and the direction to the centre, 0
	// if it points at the sphere; it stays square to the line.
	Angle float64
	Metal Metal
}

// mostTerms of the series; enough for a gap of a hundredth of the radius.
const mostTerms = 4000

// Change is the effect of the sphere over a baseline of that many metres, exact for
// both extremes of metal. A sphere nearer than a hundredth of its radius is
// refused. Errors: a [*FieldError] naming the field or the parameter.
//
// Source: multipoles, G = sum c_n a^(2n+1) / (R T)^(n+1) P_n with c_n = n/(n+1)
// for a conductor and -1 for a permeable sphere (derived; the first term is
// em.geosci.xyz, eq. 384, after Wait 1951).
func (s Sphere) Change(baseline float64) (SphereEffect, error) {
	err := cmp.Or(length("baseline", baseline), length("Radius", s.Radius), length("Gap", s.Gap),
		position("Along", s.Along), within("Angle", s.Angle, -2*math.Pi, 2*math.Pi))
	switch {
	case err != nil:
		return SphereEffect{}, err
	case s.Gap < s.Radius/100:
		return SphereEffect{}, &FieldError{"Gap", "is less than a hundredth of the radius"}
	case s.Metal != Conductor && s.Metal != Permeable:
		return SphereEffect{}, &FieldError{"Metal", "is neither of the two extremes"}
	}
	// In units of the radius: sphere at the origin, line along y at x = centre.
	a := s.Radius
	x, y, half := (s.Gap+a)/a, s.Along/a, baseline/a/2
	transmitter, receiver := r3.Vec{X: x, Y: -half - y}, r3.Vec{X: x, Y: half - y}
	moment := r3.Vec{X: math.Cos(s.Angle), Z: math.Sin(s.Angle)}
	plain := dipole(moment, r3.Sub(receiver, transmitter))
	extra := scattered(moment, transmitter, receiver, s.Metal)
	n := r3.Norm(plain)
	e := SphereEffect{
		Axis:   r3.Dot(extra, moment) / r3.Dot(plain, moment),
		Total:  r3.Norm(r3.Add(plain, extra))/n - 1,
		Vector: r3.Norm(extra) / n,
	}
	return settled(e, "Gap", e.Axis, e.Total, e.Vector)
}

// partials of the series by s = r.t and w = r^2 t^2.
type partials struct {
	s, w, ss, sw, ww float64
}

// scattered is the field at r that a sphere of radius 1 at the origin adds to
// that of a moment at t: -grad_r (m . grad_t) G.
func scattered(m, t, r r3.Vec, metal Metal) r3.Vec {
	d := series(t, r, metal)
	rr, tt := r3.Norm2(r), r3.Norm2(t)
	mr, mt := r3.Dot(m, r), r3.Dot(m, t)
	onT := mr*d.ss + 2*mt*rr*d.sw
	onR := mr*d.sw*2*tt + 4*mt*rr*tt*d.ww + 4*mt*d.w
	sum := r3.Add(r3.Scale(onT, t), r3.Scale(onR, r))
	return r3.Scale(-1, r3.Add(sum, r3.Scale(d.s, m)))
}

// series sums the derivatives of c_n w^(-(n+1)/2) P_n(s w^(-1/2)).
func series(t, r r3.Vec, metal Metal) partials {
	w := r3.Norm2(t) * r3.Norm2(r)
	q := 1 / math.Sqrt(w) // below 1: both points are outside
	c := math.Max(-1, math.Min(1, r3.Dot(t, r)*q))
	var d partials
	// Legendre polynomials and their first two derivatives, of order n-1 and n.
	p0, p1, d0, d1, e0, e1 := 1.0, c, 0.0, 1.0, 0.0, 0.0
	f := q * q // w^(-(n+1)/2)
	for n := 1.0; n < mostTerms; n++ {
		k := -1.0
		if metal == Conductor {
			k = n / (n + 1)
		}
		h, dh := (n+1)*p1+c*d1, (n+2)*d1+c*e1
		d.s += k * f * q * d1
		d.ss += k * f * q * q * e1
		d.w += k * f * q * q * -h / 2
		d.sw += k * f * q * q * q * -dh / 2
		d.ww += k * f * q * q * q * q * ((n+3)*h + c*dh) / 4
		if f*n*n*n*n < 1e-18*q*q {
			break
		}
		f *= q
		p0, p1 = p1, ((2*n+1)*c*p1-n*p0)/(n+1)
		d0, d1 = d1, d0+(2*n+1)*p0
		e0, e1 = e1, e0+(2*n+1)*d0
	}
	return d
}
