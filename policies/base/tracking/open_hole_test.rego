package tests.base.tracking.open_hole

import data.checks.base.tracking.open_hole

seen(error) := {"derived": {"seen_error_um": error, "seen_expanded_um": 22000, "seen_tolerance_um": 90000}}

test_pass_inside if open_hole.pass with input as seen(0)

test_pass_at_the_limit if open_hole.pass with input as seen(68000)

test_stop_over if not open_hole.pass with input as seen(68001)

test_pass_at_the_limit_short if open_hole.pass with input as seen(-68000)

test_stop_over_short if not open_hole.pass with input as seen(-68001)

test_not_known if not open_hole.pass with input as {}

test_error_as_text if not open_hole.pass with input as seen("0")

test_doubt_as_text if {
	not open_hole.pass with input as {"derived": {"seen_error_um": 0, "seen_expanded_um": "1", "seen_tolerance_um": 90000}}
}

test_tolerance_as_text if {
	not open_hole.pass with input as {"derived": {"seen_error_um": 0, "seen_expanded_um": 1, "seen_tolerance_um": "9"}}
}
