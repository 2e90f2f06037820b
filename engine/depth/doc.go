// Package depth is the physics and the metrology of a depth reading: what a
// transmitter in the ground makes a receiver at the surface show, how far that
// may be from the truth, and whether the difference can be accepted.
//
// Call first, in the order of the work on site:
//
//   - [StandoffFor], [StandoffForBetween], [WorstDepthError] and [WorstAt]: is metal
//     far enough from the line? [SheetChange], [Sphere.Change] and [AfterMat] are exact cases.
//   - [Margin] and [NeededMargin]: is the background quiet enough at the
//     planned depth?
//   - [ReadingsBudget] for the readings at one mark, [ReadingBudget] for one alone
//     (or [Combine]), and then [Decide]: does it hold at a known mark?
//   - [FitLine], [Line.BudgetAt] and [Curvature]: what do the marks together
//     say about scale, offset and shape, and about the planned depth?
//   - [Diagnose]: if they do not agree, why; [CauseWords] and [ExtraWords] say it
//     to the crew.
//   - [Down.At], [Down.Deepest], [Down.Separation], [Grade.Proof]: what that means
//     down the hole.
//   - [CheckKnown], [CheckNulls], [CheckRods]: while drilling, the receiver against
//     an exposed utility, the nulls, and pitch and rods.
//   - [PitchZero], [DepthFromNulls] and [Crossing.Assess]: the pitch sensor, a
//     second depth that needs no calibration, and the gap at a utility.
//
// Units: lengths in metres, angles in radians, a pitch as a slope ratio (0.10
// is 10 %), signals either relative (any linear unit, the same throughout one
// call) or in decibels of amplitude (20 log10). Nothing is rounded: whoever shows
// a value rounds its doubt up, and never a value across a limit.
//
// Promises: the functions are pure and keep no state. An input that is not
// finite, is out of range or makes no sense gives a [*FieldError] naming the
// field and zero results. A question that cannot be answered from what is known
// gives a [*CannotSayError], which is never a yes. Nothing panics, and no result
// is NaN or infinite; only [Rectangular], which has no error to give, hands on
// what it was given.
// Where an input may be missing in a caller's record (an uncertainty of zero, a
// code clearance of zero) the zero value is refused, never taken as "none".
//
// The model is a small level dipole in ground that is transparent to it. It is
// not usable closer than about 1 m (the transmitter has a length), nor in very
// wet, salty ground at high frequency.
package depth
