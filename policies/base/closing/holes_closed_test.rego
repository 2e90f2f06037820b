package tests.base.closing.holes_closed

import data.checks.base.closing.holes_closed

test_pass_closed if holes_closed.pass with input as {"holes_closed": true}

test_stop_open if not holes_closed.pass with input as {"holes_closed": false}

test_not_answered if not holes_closed.pass with input as {}

test_text_is_no_answer if not holes_closed.pass with input as {"holes_closed": "yes"}
