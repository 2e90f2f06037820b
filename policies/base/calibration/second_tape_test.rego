package tests.base.calibration.second_tape

import data.checks.base.calibration.second_tape

# 0.5 in is 12700 um (1 in is 25400 um exactly).
params := {"calibration": {"baseline_tolerance_um": 12700}}

off(error) := {"derived": {"second_tape_error_um": error}}

test_pass_exact if second_tape.pass with input as off(0) with data.params as params

# One tape at 10 ft, which is 304.8 cm, the other at 305 cm: 2 mm apart.
test_pass_at_305_cm if second_tape.pass with input as off(3050000 - 3048000) with data.params as params

test_stop_at_305_cm_where_a_millimetre_is_the_limit if {
	not second_tape.pass with input as off(3050000 - 3048000) with data.params as {"calibration": {"baseline_tolerance_um": 1000}}
}

test_pass_at_the_limit_long if second_tape.pass with input as off(12700) with data.params as params

test_stop_over_long if not second_tape.pass with input as off(12701) with data.params as params

test_pass_at_the_limit_short if second_tape.pass with input as off(-12700) with data.params as params

test_stop_over_short if not second_tape.pass with input as off(-12701) with data.params as params

test_not_known if not second_tape.pass with input as {"derived": {}} with data.params as params

test_as_text if not second_tape.pass with input as off("0") with data.params as params

test_no_limit if not second_tape.pass with input as off(0) with data.params as {}
