package tests.va.tracking.above_bottom

import data.checks.va.tracking.above_bottom

# 12 ft are 3657600 um.
hole(reading, bottom) := {"hole_reading": reading, "hole_bottom": bottom}

test_pass_at_the_limit if above_bottom.pass with input as hole(3657600, 3657600)

test_pass_inside if above_bottom.pass with input as hole(3657600, 3657601)

test_stop_just_outside if not above_bottom.pass with input as hole(3657600, 3657599)

test_first_as_text if not above_bottom.pass with input as hole("12 ft", 3657600)

test_second_as_text if not above_bottom.pass with input as hole(3657600, "12 ft")

test_first_null if not above_bottom.pass with input as hole(null, 3657600)

test_second_null if not above_bottom.pass with input as hole(3657600, null)

test_not_answered if not above_bottom.pass with input as {}
