package tests.base.ticket.owners_answered

import data.checks.base.ticket.owners_answered

owners(listed, answered) := {"owners_listed": listed, "owners_answered": answered}

test_pass_all if owners_answered.pass with input as owners(5, 5)

test_pass_one if owners_answered.pass with input as owners(1, 1)

test_stop_one_short if not owners_answered.pass with input as owners(5, 4)

test_stop_nobody_listed if not owners_answered.pass with input as owners(0, 0)

test_pass_one_more_than_listed if owners_answered.pass with input as owners(5, 6)

test_listed_not_given if not owners_answered.pass with input as {"owners_answered": 5}

test_answered_not_given if not owners_answered.pass with input as {"owners_listed": 5}

test_answered_as_text if not owners_answered.pass with input as owners(5, "5")

test_both_as_text if not owners_answered.pass with input as owners("5", "5")

test_listed_null if not owners_answered.pass with input as owners(null, 5)
