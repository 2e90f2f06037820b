package tests.va.crossings.hole_bottom

import data.checks.va.crossings.hole_bottom

# 12 ft are 3657600 um.
hole(bottom, bore) := {"crossing": {"exposed": true, "hole_depth": bottom, "bore_depth": bore}}

test_pass_at_the_limit if hole_bottom.pass with input as hole(3657600, 3657600)

test_pass_inside if hole_bottom.pass with input as hole(3657601, 3657600)

test_stop_just_outside if not hole_bottom.pass with input as hole(3657599, 3657600)

test_first_as_text if not hole_bottom.pass with input as hole("12 ft", 3657600)

test_second_as_text if not hole_bottom.pass with input as hole(3657600, "12 ft")

test_first_null if not hole_bottom.pass with input as hole(null, 3657600)

test_second_null if not hole_bottom.pass with input as hole(3657600, null)

test_not_answered if not hole_bottom.pass with input as {"crossing": {}}

test_exempt_not_in_sight if hole_bottom.exempt with input as {"crossing": {"exposed": false}}

test_not_exempt_in_sight if not hole_bottom.exempt with input as {"crossing": {"exposed": true}}

test_not_exempt_unknown if not hole_bottom.exempt with input as {"crossing": {}}
