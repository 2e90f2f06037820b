package tests.base.verification.repeated

import data.checks.base.verification.repeated

params := {"verification": {"readings": 3}}

times(near, far) := {"frequency": {"derived": {"near_count": near, "far_count": far}}}

test_pass_at_the_limit if repeated.pass with input as times(3, 3) with data.params as params

test_pass_over if repeated.pass with input as times(5, 4) with data.params as params

test_stop_near_too_few if not repeated.pass with input as times(2, 3) with data.params as params

test_stop_far_too_few if not repeated.pass with input as times(3, 2) with data.params as params

test_near_not_known if not repeated.pass with input as {"frequency": {"derived": {"far_count": 3}}} with data.params as params

test_far_not_known if not repeated.pass with input as {"frequency": {"derived": {"near_count": 3}}} with data.params as params

test_near_as_text if not repeated.pass with input as times("3", 3) with data.params as params

test_far_as_text if not repeated.pass with input as times(3, "3") with data.params as params

test_no_limit if not repeated.pass with input as times(3, 3) with data.params as {}
