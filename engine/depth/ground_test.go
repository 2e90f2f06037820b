package depth_test

import (
	"math"
	"testing"

	"firstrod/engine/depth"
)

// Table rebar_mat.csv, derived: readings after a calibration on the mat and the
// factor on every later depth.
func TestAfterMat(t *testing.T) {
	for _, r := range table(t, "rebar_mat.csv") {
		m, err := depth.AfterMat(10*ft, r.num(t, "h_ft")*ft, 5*ft, 15*ft)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "read at 5", m.Reads[0]/ft, r.num(t, "read5_after_cal_on_mat"), 1e-11)
		near(t, "read at 15", m.Reads[1]/ft, r.num(t, "read15_after_cal_on_mat"), 1e-11)
		near(t, "later", m.Later, r.num(t, "later_depth_scale_factor_off_mat"), 1e-12)
		near(t, "constant", m.ConstantDB, 20*math.Log10(1+r.num(t, "delta10")), 1e-11)
	}
	// Derived: half a foot below, 5.9560 dB.
	m, err := depth.AfterMat(10*ft, 0.5*ft)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "constant", m.ConstantDB, 5.9560, 5e-5)
	_, err = depth.AfterMat(0, 1)
	refused(t, err, "baseline")
	_, err = depth.AfterMat(3, 1, 0)
	refused(t, err, "marks")
}

// Derived: metal at 26 ft can move the far reading by up to 1.7 %; 30.613 ft make
// it 1 %, 20.409 ft make the baseline's own 1 %, 25.629 ft 0.5 % (standoff_bound.csv).
func TestWorstAt(t *testing.T) {
	e, err := depth.WorstAt(26*ft, 10*ft, 15*ft, false)
	if err != nil {
		t.Fatal(err)
	}
	for lang, want := range map[string]string{
		"en": "Metal at 26 ft can move the far reading by up to 1.7 %, and every later depth by up to 0.5 %.",
		"es": "Metal a 26 ft puede mover la lectura lejana hasta 1.7 %, y toda profundidad posterior hasta 0.5 %.",
	} {
		if got, err := depth.StandoffWords(lang, "26 ft", e); err != nil || got != want {
			t.Errorf("far %g: %q, %v", e.Far, got, err)
		}
	}
	_, err = depth.StandoffWords("xx", "26 ft", e)
	refused(t, err, "lang")
	e, err = depth.WorstAt(30.6130768635327*ft, 10*ft, 15*ft, false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "far", e.Far, 0.01, 1e-12)
	e, err = depth.WorstAt(20.4087179090218*ft, 10*ft, 10*ft, false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "later", e.Later, 1-1/1.01, 1e-12) // (1-delta)^(1/3) of (1-delta)^(-1/3) = 1.01
	both, err := depth.WorstAt(26*ft, 10*ft, 15*ft, true)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "around", both.Far, must(t)(depth.WorstDepthErrorBetween(15*ft, 26*ft)), 1e-15)
	if both.Later <= 2.5*0.0047 || both.Later > 0.02 {
		t.Errorf("later, around: %g", both.Later)
	}
	_, err = depth.WorstAt(5*ft, 10*ft, 15*ft, false)
	refused(t, err, "standoff")
	_, err = depth.WorstAt(26*ft, 10*ft, math.NaN(), false)
	refused(t, err, "far")
	_, err = depth.WorstAt(26*ft, math.Inf(1), 15*ft, false)
	refused(t, err, "baseline")
}

// Table metal_sphere.csv, derived: every row, the one straight beside the middle
// and the worst by length of the extra field and by the whole field.
func TestSphere(t *testing.T) {
	metals := map[string]depth.Metal{"PEC": depth.Conductor, "PMC": depth.Permeable}
	change := func(r row, along, angle string) depth.SphereEffect {
		s := depth.Sphere{Radius: r.num(t, "radius_ft") * ft, Gap: r.num(t, "surface_standoff_ft") * ft, Metal: metals[r["kind"]]}
		if along != "" {
			s.Along, s.Angle = r.num(t, along)*ft, r.num(t, angle)
		}
		if math.Abs(s.Angle-math.Pi/2) < 1e-3 {
			s.Angle = math.Pi / 2 // printed as 1.571
		}
		e, err := s.Change(10 * ft)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	for _, r := range table(t, "metal_sphere.csv") {
		near1 := func(what string, got float64, column string, tol float64) {
			want := r.num(t, column)
			near(t, what, 100*got, want, tol*math.Abs(want))
		}
		near1("axis", change(r, "", "").Axis, "broadside_axis_pct_exact", 1e-7)
		near1("vector", change(r, "y0_v", "ang_v").Vector, "worst_vector_pct", 1e-4)
		total := change(r, "y0_t", "ang_t").Total
		near1("total", total, "worst_total_pct", 1e-4)
		near1("depth", must(t)(depth.DepthError(total)), "depth_pct_at_worst_total", 1e-4)
	}
}

func TestSphereRefuses(t *testing.T) {
	good := depth.Sphere{Radius: 2, Gap: 3, Metal: depth.Conductor}
	for field, spoil := range map[string]func(s *depth.Sphere){
		"Radius": func(s *depth.Sphere) { s.Radius = 0 },
		"Gap":    func(s *depth.Sphere) { s.Gap = 0.001 },
		"Along":  func(s *depth.Sphere) { s.Along = math.NaN() },
		"Angle":  func(s *depth.Sphere) { s.Angle = 90 },
		"Metal":  func(s *depth.Sphere) { s.Metal = "" },
	} {
		s := good
		spoil(&s)
		_, err := s.Change(3)
		refused(t, err, field)
	}
	_, err := good.Change(-3)
	refused(t, err, "baseline")
	// Absurd but finite: a number comes out.
	for _, s := range []depth.Sphere{
		{Radius: 1e6, Gap: 1e4, Metal: depth.Permeable}, {Radius: 1e-6, Gap: 1e6, Along: -1e6, Metal: depth.Conductor},
	} {
		e, err := s.Change(1e-6)
		if err != nil || math.IsNaN(e.Axis+e.Total+e.Vector) {
			t.Errorf("%+v: %+v, %v", s, e, err)
		}
	}
}
