package tests.base.verification.still_true

import data.checks.base.verification.still_true

params := {"verification": {"good_for_s": 43200}}

read(verified, events) := {"clock": {"now": 1800043200, "verified": verified}, "drilling": {"since_verified": events}}

test_exempt_when_fresh if still_true.exempt with input as read(1800043000, 0) with data.params as params

test_exempt_at_the_limit if still_true.exempt with input as read(1800000000, 0) with data.params as params

test_not_exempt_when_too_old if not still_true.exempt with input as read(1799999999, 0) with data.params as params

test_not_exempt_after_an_event if not still_true.exempt with input as read(1800043000, 1) with data.params as params

test_not_exempt_when_never_read if {
	not still_true.exempt with input as {"clock": {"now": 1800043200}, "drilling": {"since_verified": 0}} with data.params as params
}

test_not_exempt_when_events_are_unknown if {
	not still_true.exempt with input as {"clock": {"now": 1800043200, "verified": 1800043000}} with data.params as params
}

test_not_exempt_on_text if not still_true.exempt with input as read("1800043000", 0) with data.params as params

test_not_exempt_without_a_clock if {
	not still_true.exempt with input as {"clock": {"now": "x", "verified": 1}, "drilling": {"since_verified": 0}} with data.params as params
}

known(error) := {"derived": {"known_error_um": error, "known_expanded_um": 22000, "known_tolerance_um": 90000}}

test_pass_inside if still_true.pass with input as known(0)

test_pass_at_the_limit if still_true.pass with input as known(68000)

test_stop_over if not still_true.pass with input as known(68001)

test_pass_at_the_limit_short if still_true.pass with input as known(-68000)

test_stop_over_short if not still_true.pass with input as known(-68001)

test_not_known if not still_true.pass with input as {}

test_error_as_text if not still_true.pass with input as known("0")

test_doubt_as_text if {
	not still_true.pass with input as {"derived": {"known_error_um": 0, "known_expanded_um": "1", "known_tolerance_um": 90000}}
}

test_tolerance_as_text if {
	not still_true.pass with input as {"derived": {"known_error_um": 0, "known_expanded_um": 1, "known_tolerance_um": "9"}}
}
