package tests.base.drilling.hold_cleared

import data.checks.base.drilling.hold_cleared

test_pass if hold_cleared.pass with input as {"hold_cleared_how": "moved the rig off the duct, owner looked at it"}

test_blank if not hold_cleared.pass with input as {"hold_cleared_how": "  "}

test_empty if not hold_cleared.pass with input as {"hold_cleared_how": ""}

test_not_answered if not hold_cleared.pass with input as {}

test_yes_is_no_text if not hold_cleared.pass with input as {"hold_cleared_how": true}

test_never_held if hold_cleared.exempt with input as {"drilling": {"holds": 0}}

test_held if not hold_cleared.exempt with input as {"drilling": {"holds": 1}}

test_count_not_known if not hold_cleared.exempt with input as {"drilling": {}}

test_count_as_text if not hold_cleared.exempt with input as {"drilling": {"holds": "0"}}
