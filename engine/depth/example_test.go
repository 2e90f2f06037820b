package depth_test

import (
	"fmt"

	"firstrod/engine/depth"
)

// Both marks read 2 1/2 in short on a display in half inches.
func ExampleDiagnose() {
	d, err := depth.Diagnose(depth.Evidence{
		Baseline: 3.048, Tape: 0.00635, Datum: 0.0127, Step: 0.0127, Hand: 0.0038,
		Bands: []depth.Band{{Name: "9.5 kHz", Marks: []depth.Sight{
			{True: 1.524, Readings: []float64{1.4605}}, {True: 4.572, Readings: []float64{4.5085}},
		}}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	cause, do, err := depth.CauseWords("en", d.Ranked[0].ID)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(cause)
	fmt.Println(do)
	fmt.Printf("taken off: %.1f in\n", d.Ranked[0].Size/0.0254)
	// Output:
	// Short by a fixed amount, not a share of depth: most likely the receiver is in its walking view, which takes off the height of the antenna.
	// Go back to the calibration view and read both marks again.
	// taken off: 2.5 in
}
