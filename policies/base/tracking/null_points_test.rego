package tests.base.tracking.null_points

import data.checks.base.tracking.null_points

nulls(error, allowed) := {"derived": {"null_error_um": error, "null_allowed_um": allowed}}

test_pass_inside if null_points.pass with input as nulls(0, 90000)

test_pass_at_the_limit if null_points.pass with input as nulls(90000, 90000)

test_stop_over if not null_points.pass with input as nulls(90001, 90000)

test_pass_at_the_limit_short if null_points.pass with input as nulls(-90000, 90000)

test_stop_over_short if not null_points.pass with input as nulls(-90001, 90000)

test_not_known if not null_points.pass with input as {}

test_error_as_text if not null_points.pass with input as nulls("0", 90000)

test_allowed_as_text if not null_points.pass with input as nulls(0, "90000")
