package tests.base.calibration.baseline

import data.checks.base.calibration.baseline

# 0.5 in is 12700 um (1 in is 25400 um exactly).
params := {"calibration": {"baseline_tolerance_um": 12700}}

off(error) := {"derived": {"baseline_error_um": error}}

test_pass_exact if baseline.pass with input as off(0) with data.params as params

# 10 ft is 304.8 cm; a tape at 305 cm is 2 mm long.
test_pass_at_305_cm if baseline.pass with input as off(3050000 - 3048000) with data.params as params

test_stop_at_305_cm_where_a_millimetre_is_the_limit if {
	not baseline.pass with input as off(3050000 - 3048000) with data.params as {"calibration": {"baseline_tolerance_um": 1000}}
}

test_pass_at_the_limit_long if baseline.pass with input as off(12700) with data.params as params

test_stop_over_long if not baseline.pass with input as off(12701) with data.params as params

test_pass_at_the_limit_short if baseline.pass with input as off(-12700) with data.params as params

test_stop_over_short if not baseline.pass with input as off(-12701) with data.params as params

test_not_known if not baseline.pass with input as {"derived": {}} with data.params as params

test_as_text if not baseline.pass with input as off("0") with data.params as params

test_no_limit if not baseline.pass with input as off(0) with data.params as {}
