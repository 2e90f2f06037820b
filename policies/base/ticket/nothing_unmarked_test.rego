package tests.base.ticket.nothing_unmarked

import data.checks.base.ticket.nothing_unmarked

test_pass_no_signs if nothing_unmarked.pass with input as {"unmarked_signs": false}

test_stop_signs_of_a_line if not nothing_unmarked.pass with input as {"unmarked_signs": true}

test_not_answered if not nothing_unmarked.pass with input as {}

test_text_is_no_answer if not nothing_unmarked.pass with input as {"unmarked_signs": "no"}
