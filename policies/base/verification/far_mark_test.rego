package tests.base.verification.far_mark

import data.checks.base.verification.far_mark

seen(error, expanded, tolerance) := {"frequency": {"derived": {
	"far_error_um": error,
	"far_expanded_um": expanded,
	"far_tolerance_um": tolerance,
}}}

test_pass_no_error if far_mark.pass with input as seen(0, 32000, 76200)

test_pass_long_at_the_limit if far_mark.pass with input as seen(44200, 32000, 76200)

test_stop_long_a_hair_over if not far_mark.pass with input as seen(44201, 32000, 76200)

test_pass_short_at_the_limit if far_mark.pass with input as seen(-44200, 32000, 76200)

test_stop_short_a_hair_over if not far_mark.pass with input as seen(-44201, 32000, 76200)

test_stop_more_doubt if not far_mark.pass with input as seen(44200, 32001, 76200)

# JCGM 106:2012: a guard band as wide as the tolerance leaves nothing to accept.
test_stop_doubt_larger_than_the_tolerance if not far_mark.pass with input as seen(0, 76201, 76200)

test_pass_doubt_as_large_as_the_tolerance if far_mark.pass with input as seen(0, 76200, 76200)

test_error_not_known if {
	not far_mark.pass with input as {"frequency": {"derived": {"far_expanded_um": 0, "far_tolerance_um": 76200}}}
}

test_doubt_not_known if {
	not far_mark.pass with input as {"frequency": {"derived": {"far_error_um": 0, "far_tolerance_um": 76200}}}
}

test_tolerance_not_known if {
	not far_mark.pass with input as {"frequency": {"derived": {"far_error_um": 0, "far_expanded_um": 0}}}
}

test_error_as_text if not far_mark.pass with input as seen("0", 32000, 76200)

test_doubt_as_text if not far_mark.pass with input as seen(0, "32000", 76200)

test_tolerance_as_text if not far_mark.pass with input as seen(0, 32000, "76200")
