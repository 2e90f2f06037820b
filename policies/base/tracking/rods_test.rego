package tests.base.tracking.rods

import data.checks.base.tracking.rods

log(error, allowed) := {"derived": {"rods_error_um": error, "rods_allowed_um": allowed}}

test_pass_inside if rods.pass with input as log(0, 90000)

test_pass_at_the_limit if rods.pass with input as log(90000, 90000)

test_stop_over if not rods.pass with input as log(90001, 90000)

test_pass_at_the_limit_short if rods.pass with input as log(-90000, 90000)

test_stop_over_short if not rods.pass with input as log(-90001, 90000)

test_not_known if not rods.pass with input as {}

test_error_as_text if not rods.pass with input as log("0", 90000)

test_allowed_as_text if not rods.pass with input as log(0, "90000")
