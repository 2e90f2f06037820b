package tests.base.verification.marks

import data.checks.base.verification.marks

# 0.5 in is 12700 um (1 in is 25400 um exactly).
params := {"verification": {"mark_tolerance_um": 12700}}

off(near, far) := {"derived": {"near_mark_error_um": near, "far_mark_error_um": far}}

test_pass_exact if marks.pass with input as off(0, 0) with data.params as params

test_pass_both_at_the_limit if marks.pass with input as off(12700, 12700) with data.params as params

test_pass_both_short_at_the_limit if marks.pass with input as off(-12700, -12700) with data.params as params

test_stop_near_long if not marks.pass with input as off(12701, 0) with data.params as params

test_stop_near_short if not marks.pass with input as off(-12701, 0) with data.params as params

test_stop_far_long if not marks.pass with input as off(0, 12701) with data.params as params

test_stop_far_short if not marks.pass with input as off(0, -12701) with data.params as params

test_near_not_known if not marks.pass with input as {"derived": {"far_mark_error_um": 0}} with data.params as params

test_far_not_known if not marks.pass with input as {"derived": {"near_mark_error_um": 0}} with data.params as params

test_near_as_text if not marks.pass with input as off("0", 0) with data.params as params

test_far_as_text if not marks.pass with input as off(0, "0") with data.params as params

test_no_limit if not marks.pass with input as off(0, 0) with data.params as {}
