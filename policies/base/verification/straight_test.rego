package tests.base.verification.straight

import data.checks.base.verification.straight

bend(curvature, expanded) := {"frequency": {"derived": {"curvature_um": curvature, "curvature_expanded_um": expanded}}}

test_pass_straight if straight.pass with input as bend(0, 90000)

test_pass_at_the_limit if straight.pass with input as bend(90000, 90000)

test_stop_over if not straight.pass with input as bend(90001, 90000)

test_pass_at_the_limit_the_other_way if straight.pass with input as bend(-90000, 90000)

test_stop_over_the_other_way if not straight.pass with input as bend(-90001, 90000)

test_bend_not_known if not straight.pass with input as {"frequency": {"derived": {"curvature_expanded_um": 90000}}}

test_doubt_not_known if not straight.pass with input as {"frequency": {"derived": {"curvature_um": 0}}}

test_bend_as_text if not straight.pass with input as bend("0", 90000)

test_doubt_as_text if not straight.pass with input as bend(0, "90000")

marks(near, far) := {"frequency": {"derived": {
	"near_error_um": near, "near_expanded_um": 22000, "near_tolerance_um": 76200,
	"far_error_um": far, "far_expanded_um": 22000, "far_tolerance_um": 228600,
}}}

test_exempt_when_the_near_mark_fails if straight.exempt with input as marks(-54201, 0)

test_exempt_when_the_near_mark_reads_long if straight.exempt with input as marks(54201, 0)

test_not_exempt_when_both_marks_hold if not straight.exempt with input as marks(-54200, 206600)

test_exempt_when_the_far_mark_fails if straight.exempt with input as marks(0, -206601)

test_exempt_when_the_far_mark_reads_long if straight.exempt with input as marks(0, 206601)

test_not_exempt_when_nothing_is_known if not straight.exempt with input as {}

test_not_exempt_on_text if not straight.exempt with input as marks("0", "0")

changed(readings, parts) := {"frequency": {"derived": object.union(readings.frequency.derived, parts)}}

test_not_exempt_on_a_near_doubt_as_text if {
	not straight.exempt with input as changed(marks(54201, 0), {"near_expanded_um": "22000"})
}

test_not_exempt_on_a_near_tolerance_of_null if {
	not straight.exempt with input as changed(marks(54201, 0), {"near_tolerance_um": null})
}

test_not_exempt_on_a_far_doubt_as_text if {
	not straight.exempt with input as changed(marks(0, 206601), {"far_expanded_um": "22000"})
}

test_not_exempt_on_a_far_tolerance_of_null if {
	not straight.exempt with input as changed(marks(0, 206601), {"far_tolerance_um": null})
}
