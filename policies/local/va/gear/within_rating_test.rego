package tests.va.gear.within_rating

import data.checks.va.gear.within_rating

# 12 ft are 3657600 um.
depths(planned, rated) := {"planned_depth": planned, "rated_depth": rated}

test_pass_at_the_limit if within_rating.pass with input as depths(3657600, 3657600)

test_pass_inside if within_rating.pass with input as depths(3657600, 3657601)

test_stop_just_outside if not within_rating.pass with input as depths(3657600, 3657599)

test_first_as_text if not within_rating.pass with input as depths("12 ft", 3657600)

test_second_as_text if not within_rating.pass with input as depths(3657600, "12 ft")

test_first_null if not within_rating.pass with input as depths(null, 3657600)

test_second_null if not within_rating.pass with input as depths(3657600, null)

test_not_answered if not within_rating.pass with input as {}
